"""Ways to work on a deck, one against the other.

All but the clairvoyant begin with the intake, know the same posterior, test by the same final test
and may give up. `planner` is what the tool offers. The others stand for how people work:

- `walk`: the authored walks of the complaints and of what shows up since, then what is likely, then
  the test, and then the remedies in the order of what they save.
- `textbook`: a fixed order. Look for each cause of what is wrong, from the outside inwards; mend
  what a look finds; test when a layer with a repair in it is through. Minutes and chances count for
  nothing (the order of service papers; common practice).
- `cost_over_probability`: the cause with most probability for each minute of its look, opening and
  closing in the price, is looked for, and mended when the look finds it (Heckerman, Breese,
  Rommelse, Communications of the ACM 38, 1995, with a look before each repair).
- `information`: the plain rate of information per minute, without blocks or the author's walks.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Literal

from diag.model.figures import SignId
from diag.model.history import Given, Mended
from diag.planning.due import LIKELY
from diag.planning.final_test import final_steps
from diag.planning.led import walked_step
from diag.planning.next_step import NextStep
from diag.planning.policy import MINUTES_PER_NAT, first_step, promising_gains, remedy_steps
from diag.planning.simulation.looks import Looks
from diag.planning.situation import Situation

Policy = Callable[[Situation, Looks], NextStep | None]
"""What to do next, or None to give up. Not asked during the intake, nor when the
final test stands passed."""

WELL = 0.25
"""Chance of a deck without faults from which those who don't price the test run it; methods of
early testing did best with 0.2 to 0.3 in an earlier simulation."""
HOPELESS = 0.02
"""Chance below which nobody mends a cause on the mere suspicion."""


def planner(at: Situation, _looks: Looks) -> NextStep | None:
    """What the tool offers first."""
    return first_step(at)


def information(at: Situation, _looks: Looks) -> NextStep | None:
    """The plain rate rule."""
    test = final_steps(at)
    if test and at.well > WELL:
        return test[0]
    if (likely := _first_needed(at, LIKELY)) is not None:
        return likely
    rates = {
        gain.check: gain.nats / at.look_minutes(gain.check) for gain in promising_gains(at).values()
    }
    best = max(rates, key=lambda check: (rates[check], check), default=None)
    if best is not None and rates[best] * MINUTES_PER_NAT >= 1.0:
        return _step(at, "check", best)
    return test[0] if test else _first_needed(at, HOPELESS)


def cost_over_probability(at: Situation, looks: Looks) -> NextStep | None:
    """Look for the cause that is most probable for its minutes; mend it when it is found."""
    test = final_steps(at)
    if test and at.well > WELL:
        return test[0]
    best: tuple[float, str] | None = None
    asked = set(at.asked)
    for cause, chance in at.now.causes.items():
        look = looks.by_cause.get(cause)
        if look in asked and look is not None:
            rate = chance / at.look_minutes(look)
            if chance > HOPELESS and (best is None or (rate, look) > best):
                best = rate, look
    found = [r for r in remedy_steps(at) if _found(at, looks, r.id)]
    if found:
        return found[0]
    if best is not None:
        return _step(at, "check", best[1])
    return test[0] if test else _first_needed(at, HOPELESS)


def textbook(at: Situation, looks: Looks) -> NextStep | None:
    """Inspect from the outside inwards, mend what is found, test after each layer."""
    wrong = _signs_seen(at)
    suspects = [c for c in looks.by_cause if not wrong.isdisjoint(at.book.causes[c].shows)]
    positive = [c for c in suspects if _stands_positive(at, looks.by_cause[c], c)]
    for cause in positive:
        for remedy in at.book.causes[cause].mended_by:
            if remedy in at.remedies and not _mended_since_look(at, looks.by_cause[cause], remedy):
                return _step(at, "remedy", remedy)
    depth = {layer: (len(at.book.ways[layer]), n) for n, layer in enumerate(at.book.layers)}
    order = sorted(
        {looks.by_cause[c] for c in suspects} & {*at.asked},
        key=lambda check: (depth[at.book.checks[check].at], check),
    )
    test = final_steps(at)
    mended = any(isinstance(step, Mended) for step in at.history.steps)
    if order:
        deeper = bool(at.ways[at.book.checks[order[0]].at].opens)
        return test[0] if test and mended and deeper else _step(at, "check", order[0])
    return test[0] if test else _first_needed(at, HOPELESS)


def walk(at: Situation, _looks: Looks) -> NextStep | None:
    """The walks alone, then mend what is likely, then test, then mend on suspicion."""
    seen = _signs_seen(at)
    shown = [s.id for s in at.book.symptoms.values() if not seen.isdisjoint(s.signs)]
    told = tuple(dict.fromkeys((*at.history.symptoms, *shown)))
    led = walked_step(replace(at, history=replace(at.history, symptoms=told)))
    if led is not None:
        return led
    if (likely := _first_needed(at, LIKELY)) is not None:
        return likely
    test = final_steps(at)
    return test[0] if test else _first_needed(at, HOPELESS)


POLICIES: Mapping[str, Policy] = {
    "walk": walk,
    "textbook": textbook,
    "cost_over_probability": cost_over_probability,
    "information": information,
    "planner": planner,
}


def _step(at: Situation, kind: Literal["check", "remedy"], name: str) -> NextStep:
    entry = (at.book.checks if kind == "check" else at.book.remedies)[name]
    return NextStep(kind, name, entry.minutes, at.ways[entry.at], 0.0, "planner")


def _first_needed(at: Situation, least: float) -> NextStep | None:
    """Of the remedies that are needed with such a chance at least, the one that saves most."""
    return next((step for step in remedy_steps(at) if at.needed[step.id] >= least), None)


def _found(at: Situation, looks: Looks, remedy: str) -> bool:
    """Whether a remedy is for a cause that is likely, and that was looked for or can't be."""
    asked = {*at.asked}
    return any(
        at.now.causes.get(cause, 0.0) >= LIKELY and looks.by_cause.get(cause) not in asked
        for cause in at.book.mends[remedy]
    )


def _signs_seen(at: Situation) -> set[str]:
    """Every sign that was ever said to be present, and those of the complaints."""
    found: set[str] = {
        sign for symptom in at.history.symptoms for sign in at.book.symptoms[symptom].signs
    }
    for step in at.history.steps:
        if isinstance(step, Given):
            said = at.book.checks[step.check].evidence[step.answer]
            found |= {sign for sign, is_present in said.items() if is_present}
    return found


def _stands_positive(at: Situation, look: str, cause: str) -> bool:
    """Whether the look for a cause was last answered with the sign that it was taken for."""
    given = at.answers.standing.get(look) or at.answers.stale.get(look)
    if given is None:
        return False
    said = at.book.checks[look].evidence[given.answer]
    shows = at.book.causes[cause].shows
    best = max(
        (s for s in at.book.checks[look].signs if s in shows), key=lambda s: shows[SignId(s)]
    )
    return said.get(best, False)


def _mended_since_look(at: Situation, look: str, remedy: str) -> bool:
    """Whether a remedy was done after the last answer to a look."""
    done = False
    for step in at.history.steps:
        if isinstance(step, Mended):
            done = done or step.remedy == remedy
        elif getattr(step, "check", None) == look:
            done = False
    return done
