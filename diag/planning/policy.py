"""What to do next.

The policy is the rate rule: the check that tells most per minute, with opening and closing of
layers in the price; a repair as soon as a cause is likely enough; an early final test. In a
simulation of 500 invented decks with one to four faults of sixty each (six layers, repairs that
may fail, a final test of twelve minutes) it needed 1.92 [1.85, 1.98] times the minutes of somebody
who knows the faults, against 2.61 for most information without regard to minutes, 3.03 for
inspecting by probability over cost, and 5.75 for a fixed order from outside inward. The
thresholds are those that were best there: mend at 0.35 to 0.6, stop checking below 0.012 to 0.02
nats a minute, test when the chance of a well deck passes 0.2 to 0.3.

Basis of the rule: value of information per cost with access costs (Heckerman, Breese, Rommelse,
Communications of the ACM 38, 1995; Warnquist, Nyberg, Saby 2008), probability over cost for the
order of repairs (Kadane and Simon, Annals of Statistics 5, 1977).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from math import prod
from typing import Literal

from diag.inference.network import Network
from diag.inference.posterior import Posterior
from diag.model.book import Book
from diag.model.history import History
from diag.model.trait import Deck, fits
from diag.planning.access import Access, access, closing
from diag.planning.gain import CheckGain, check_gains
from diag.planning.open_questions import answers, open_checks, open_remedies
from diag.planning.reasons import (
    check_reason,
    final_reason,
    intake_reason,
    remedy_reason,
    walk_reason,
)
from diag.planning.walks import walk_step

LIKELY = 0.5
"""Probability from which a cause is mended without another look."""
LIKELY_WHEN_OPEN = 0.35
"""The same where its layer is open already."""
MINUTES_PER_NAT = 60.0
"""What a nat is worth: a check below 1/60 nat a minute costs more than it saves."""
MUCH_BETTER = 4.0
"""How many times worth its minutes a check must be to go before a likely repair."""
WELL = 0.25
"""Chance of a deck without faults from which the final test is the better check."""


@dataclass(frozen=True, slots=True)
class Situation:
    """All that the next step depends on."""

    book: Book
    deck: Deck
    history: History
    network: Network
    now: Posterior
    open_layers: tuple[str, ...] = ()
    put_aside: frozenset[str] = frozenset()
    done: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class NextStep:
    """One thing to do.

    `minutes` is its own time and `access.minutes` that of the layers; `saves` is how many minutes
    it is expected to save for each minute that it costs. `by` says who speaks.
    """

    kind: Literal["check", "remedy"]
    id: str
    minutes: float
    access: Access
    saves: float
    by: Literal["intake", "walk", "planner", "final test"]
    why: str

    @property
    def all_minutes(self) -> float:
        """Its own minutes and those of opening and closing."""
        return self.minutes + self.access.minutes


def next_steps(at: Situation) -> tuple[NextStep, ...]:
    """What to do, best first; empty when the final test has passed and nothing is left to do."""
    led = _intake(at) or _walk(at)
    planned = _planned(at)
    if led is None:
        return planned
    return (led, *(step for step in planned if step.id != led.id))


def final_checks(book: Book, deck: Deck) -> tuple[str, ...]:
    """The checks of the final test that this deck can be asked."""
    return tuple(c for c in book.final_test if fits(book.checks[c].where, deck.traits))


def is_well(book: Book, deck: Deck, history: History) -> bool:
    """Whether the final test stands passed: each of its checks answered with no sign present."""
    standing = answers(book, history).standing
    asked = final_checks(book, deck)
    return bool(asked) and all(
        check in standing and not any(book.checks[check].evidence[standing[check].answer].values())
        for check in asked
    )


def _intake(at: Situation) -> NextStep | None:
    still = set(open_checks(at.book, at.deck, at.history, at.put_aside))
    asked = {getattr(step, "check", None) for step in at.history.steps}
    for check in at.book.intake:
        if check in still and check not in asked:
            return _check(at, check, 0.0, "intake", intake_reason())
    return None


def _walk(at: Situation) -> NextStep | None:
    led = walk_step(at.book, at.deck, at.history, at.put_aside)
    if led is None:
        return None
    why = walk_reason(at.book, led.symptom, led.step.why)
    return _check(at, led.step.check, 0.0, "walk", why)


def _planned(at: Situation) -> tuple[NextStep, ...]:
    checks = [_scored(at, gain) for gain in _gains(at)]
    checks.sort(key=lambda step: (-step.saves, step.id))
    remedies = sorted(_remedies(at), key=lambda step: (-step.saves, step.id))
    test = _final_test(at)
    return tuple(_ordered(at, checks, remedies, test))


def _ordered(
    at: Situation, checks: list[NextStep], remedies: list[NextStep], test: list[NextStep]
) -> list[NextStep]:
    """The decision loop: test early, mend what is open and likely, check, mend, test."""
    if is_well(at.book, at.deck, at.history):
        return []
    likely = [r for r in remedies if _chance(at, r.id) >= _threshold(r)]
    worth = [c for c in checks if c.saves >= 1.0]
    eager = [c for c in worth if not likely or c.saves >= MUCH_BETTER * max(1.0, likely[0].saves)]
    well = prod(1.0 - p for p in at.now.causes.values())
    ranked = [*eager, *likely, *worth, *test, *checks, *remedies]
    if well > WELL:
        ranked = [*test, *ranked]
    elif not worth and not likely:
        unsure = [r for r in remedies if r.saves >= 1.0]
        ranked = [*unsure, *test, *checks, *remedies]
    first: dict[tuple[str, str], NextStep] = {}
    for step in ranked:
        first.setdefault((step.kind, step.id), step)
    return list(first.values())


def _threshold(step: NextStep) -> float:
    return LIKELY if step.access.opens else LIKELY_WHEN_OPEN


def _gains(at: Situation) -> tuple[CheckGain, ...]:
    checks = open_checks(at.book, at.deck, at.history, at.put_aside)
    return check_gains(at.book, at.network, at.now, checks)


def _scored(at: Situation, gain: CheckGain) -> NextStep:
    step = _check(at, gain.check, 0.0, "planner", "")
    saves = gain.nats * MINUTES_PER_NAT / max(step.all_minutes, 0.5)
    why = check_reason(at.book, step.all_minutes, gain, step.access)
    return _check(at, gain.check, saves, "planner", why)


def _check(
    at: Situation,
    check: str,
    saves: float,
    by: Literal["intake", "walk", "planner", "final test"],
    why: str,
) -> NextStep:
    entry = at.book.checks[check]
    way = access(at.book, at.open_layers, entry.at)
    return NextStep("check", check, entry.minutes, way, saves, by, why)


def _chance(at: Situation, remedy: str) -> float:
    """Chance that at least one cause that the remedy mends is present."""
    return 1.0 - prod(1.0 - at.now.causes.get(c, 0.0) for c in at.book.mends[remedy])


def _remedies(at: Situation) -> list[NextStep]:
    """Each remedy; what it saves is what finding its cause otherwise would have cost."""
    steps = []
    for name in open_remedies(at.book, at.deck, at.done):
        entry = at.book.remedies[name]
        chance = _chance(at, name)
        if chance <= 0.0:
            continue
        way = access(at.book, at.open_layers, entry.at)
        minutes = entry.minutes + way.minutes
        saves = chance * entry.cures * MINUTES_PER_NAT / max(minutes, 1.0)
        why = remedy_reason(at.book, at.now, name, chance, minutes)
        steps.append(NextStep("remedy", name, entry.minutes, way, saves, "planner", why))
    return steps


def _final_test(at: Situation) -> list[NextStep]:
    """The checks of the final test that do not stand answered; the deck is closed for them."""
    standing: Mapping[str, object] = answers(at.book, at.history).standing
    left: Collection[str] = [
        check
        for check in final_checks(at.book, at.deck)
        if check not in standing and check not in at.put_aside
    ]
    shut = closing(at.book, at.open_layers)
    steps: list[NextStep] = []
    for check in left:
        entry = at.book.checks[check]
        why = final_reason(shut if not steps else 0.0)
        way = Access((), shut if not steps else 0.0)
        steps.append(NextStep("check", check, entry.minutes, way, 1.0, "final test", why))
    return steps
