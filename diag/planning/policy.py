"""What to do next.

The policy is the rate rule: the check that tells most per minute, with opening and closing of
layers in the price; a repair as soon as a cause is likely enough; an early final test. In a
simulation of 500 invented decks with one to four faults of sixty each (six layers, repairs that
may fail, a final test of twelve minutes) it needed 1.92 [1.85, 1.98] times the minutes of somebody
who knows the faults, against 2.61 for most information without regard to minutes, 3.03 for
inspecting by probability over cost, and 5.75 for a fixed order from outside inward. The
thresholds are those that were best there: mend at 0.35 to 0.6, stop checking below 0.012 to 0.02
nats a minute, test when the chance of a well deck passes 0.2 to 0.3. Only `MUCH_BETTER`, 4 there,
is set otherwise.

Basis of the rule: value of information per cost with access costs (Heckerman, Breese, Rommelse,
Communications of the ACM 38, 1995; Warnquist, Nyberg, Saby 2008), probability over cost for the
order of repairs (Kadane and Simon, Annals of Statistics 5, 1977).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import prod

from diag.planning.blocks import LEAST_MINUTES, rates
from diag.planning.final_test import final_checks as final_checks
from diag.planning.final_test import final_steps
from diag.planning.final_test import is_well as is_well
from diag.planning.gain import CheckGain, check_gains
from diag.planning.led import intake_step, walked_step
from diag.planning.next_step import NextStep
from diag.planning.reasons import check_reason, not_worth_it, remedy_reason
from diag.planning.screening import promising
from diag.planning.situation import Situation as Situation

LIKELY = 0.5
"""Probability from which a cause is mended without another look."""
LIKELY_WHEN_OPEN = 0.35
"""The same where its layer is open already."""
MINUTES_PER_NAT = 60.0
"""What a nat is worth: a check below 1/60 nat a minute costs more than it saves."""
MUCH_BETTER = 40.0
"""How many times worth its minutes a check must be to go before a likely repair.

On 30 decks drawn from the cassette book, 4, 12 and 40 took 308, 326 and 289 minutes and left 1.0,
0.9 and 0.9 faults: no difference that 30 decks could show. The highest has the fewest questions.
"""
WELL = 0.25
"""Chance of a deck without faults from which the final test is the better check."""
OFFERED = 20
"""Steps that are worth listing; nobody reads on."""


def next_steps(at: Situation) -> tuple[NextStep, ...]:
    """What to do, best first, `OFFERED` at most; empty when the final test stands passed."""
    led = intake_step(at) or walked_step(at)
    planned = _planned(at)
    if led is None:
        return planned
    return (led, *(step for step in planned if step.id != led.id))


def first_step(at: Situation) -> NextStep | None:
    """The first of `next_steps`, without the work for the others where the author leads."""
    led = intake_step(at) or walked_step(at)
    return led or next(iter(_planned(at)), None)


def _planned(at: Situation) -> tuple[NextStep, ...]:
    if is_well(at.book, at.deck, at.history):
        return ()
    gains = promising_gains(at)
    ordered = _ordered(at, _checks(at, gains), remedy_steps(at), final_steps(at))
    return tuple(_with_reason(at, step, gains) for step in ordered[:OFFERED])


def _ordered(
    at: Situation, checks: list[NextStep], remedies: list[NextStep], test: list[NextStep]
) -> list[NextStep]:
    """The decision loop: test early, mend what is open and likely, check, mend, test."""
    likely = [r for r in remedies if is_likely(at, r.id)]
    worth = [c for c in checks if c.is_worth_it]
    eager = [c for c in worth if not likely or c.saves >= MUCH_BETTER * max(1.0, likely[0].saves)]
    well = prod(1.0 - p for p in at.now.causes.values())
    ranked = [*eager, *likely, *worth, *test, *checks, *remedies]
    if well > WELL:
        ranked = [*test, *ranked]
    elif not worth and not likely:
        ranked = [*(r for r in remedies if r.is_worth_it), *test, *checks, *remedies]
    first: dict[tuple[str, str], NextStep] = {}
    for step in ranked:
        first.setdefault((step.kind, step.id), step)
    return list(first.values())


def promising_gains(at: Situation) -> dict[str, CheckGain]:
    """What each of the most promising checks would tell, scored exactly."""
    checks = promising(at.book, at.now, at.asked, at.ways)
    return {gain.check: gain for gain in check_gains(at.book, at.network, at.now, checks)}


def _checks(at: Situation, gains: Mapping[str, CheckGain]) -> list[NextStep]:
    """Checks by what they save: nats in minutes, for each minute of the check and its layers."""
    found = rates(at.book, at.ways, {name: gain.nats for name, gain in gains.items()})
    steps = []
    for name, gain in gains.items():
        entry, rate = at.book.checks[name], found[name]
        saves = rate.nats_a_minute * MINUTES_PER_NAT
        own = gain.nats / max(entry.minutes, LEAST_MINUTES)
        step = NextStep(
            "check",
            name,
            entry.minutes,
            at.ways[entry.at],
            saves,
            "planner",
            together=rate.together,
            is_worth_it=saves >= 1.0,
        )
        steps.append((-saves, -own, name, step))
    return [step for *_, step in sorted(steps, key=lambda scored: scored[:3])]


def remedy_steps(at: Situation) -> list[NextStep]:
    """Remedies by what they save: the cost of finding the cause otherwise, were it there."""
    steps = []
    for name in at.remedies:
        entry = at.book.remedies[name]
        way = at.ways[entry.at]
        saves = chance_needed(at, name) * entry.cures * MINUTES_PER_NAT
        saves /= max(entry.minutes + way.minutes, 1.0)
        if saves > 0.0:
            # A likely fault must go in the end, so that mending it is never a waste.
            worth = is_likely(at, name) or saves >= 1.0
            steps.append(
                NextStep("remedy", name, entry.minutes, way, saves, "planner", is_worth_it=worth)
            )
    return sorted(steps, key=lambda step: (-step.saves, step.id))


def is_likely(at: Situation, remedy: str) -> bool:
    """Whether a remedy is wanted enough to be done without another look."""
    opens = at.ways[at.book.remedies[remedy].at].opens
    return chance_needed(at, remedy) >= (LIKELY if opens else LIKELY_WHEN_OPEN)


def chance_needed(at: Situation, remedy: str) -> float:
    """Chance that at least one cause that the remedy mends is present."""
    return 1.0 - prod(1.0 - at.now.causes.get(c, 0.0) for c in at.book.mends[remedy])


def _with_reason(at: Situation, step: NextStep, gains: Mapping[str, CheckGain]) -> NextStep:
    if step.why:
        return step
    if step.kind == "check":
        why = check_reason(at.book, step, gains[step.id].parts)
    else:
        why = remedy_reason(at.book, at.now, step.id, chance_needed(at, step.id), step.all_minutes)
    return replace(step, why=why if step.is_worth_it else f"{why} {not_worth_it()}")
