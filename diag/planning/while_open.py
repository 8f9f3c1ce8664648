"""What is worth doing while the deck is open.

A step at an open layer costs its own minutes `m` only. Left until the deck is closed, it costs the
way back `w` as well: every layer down to it opened and closed once more.

A check is worth `v = MINUTES_PER_NAT * nats` minutes to the planner. Who leaves it either does
without, and loses `v`, or comes back for it, and pays `m + w`; the cheaper of the two is what the
check saves now:

    saving = min(v, m + w)

A remedy that is left undone is missed only if one of its causes is there (chance `p`) and it would
have cured it (`cures`). Then the final test fails for it and is done again (`t` minutes), and the
way back and the work are due after all:

    saving = p * cures * (w + m + t)

A step is worth it where its saving exceeds `m`. The saving of a remedy leaves out the search for
the cause, and so is on the low side; both are on the high side where the deck will be opened again
for something else.

Both formulas are derived here from the costs that a restorer pays, and have no other source; the
price of a nat is the planner's own (`policy`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from diag.model.words import chance_in_words
from diag.planning.access import access
from diag.planning.blocks import LEAST_MINUTES
from diag.planning.final_test import retest_minutes
from diag.planning.gain import CheckGain, check_gains
from diag.planning.policy import MINUTES_PER_NAT
from diag.planning.reasons import minutes_in_words, parts_in_words
from diag.planning.screening import promising
from diag.planning.situation import Situation


@dataclass(frozen=True, slots=True)
class InHere:
    """A check or remedy at an open layer that is worth doing before the deck is closed.

    `minutes` is its own time, `later` what it would cost once the deck is closed, and `saving` how
    many minutes it is expected to save; it is greater than `minutes`.
    """

    kind: Literal["check", "remedy"]
    id: str
    layer: str
    minutes: float
    later: float
    saving: float
    why: str

    @property
    def saves(self) -> float:
        """Minutes saved for each minute of work."""
        return self.saving / max(self.minutes, LEAST_MINUTES)


def worth_while_open(at: Situation) -> tuple[InHere, ...]:
    """What is worth doing at the open layers, the most saved for a minute first."""
    found = [*_checks(at), *_remedies(at)]
    worth = [step for step in found if step.saving > step.minutes]
    worth.sort(key=lambda step: (-step.saves, step.kind, step.id))
    return _one_for_each_cause(at, worth)


def way_back(at: Situation, layer: str) -> float:
    """Minutes to get back at a layer after the deck was closed, beyond those that it costs now."""
    closed: float = access(at.book, (), layer).minutes
    return closed - at.ways[layer].minutes


def _is_in_here(at: Situation, layer: str) -> bool:
    """Whether a layer is open that was not so on the closed deck."""
    return not at.ways[layer].opens and way_back(at, layer) > 0


def _checks(at: Situation) -> list[InHere]:
    here = [check for check in at.asked if _is_in_here(at, at.book.checks[check].at)]
    likely = promising(at.book, at.now, here, at.ways)
    return [_check(at, gain) for gain in check_gains(at.book, at.network, at.now, likely)]


def _check(at: Situation, gain: CheckGain) -> InHere:
    entry = at.book.checks[gain.check]
    later = entry.minutes + way_back(at, entry.at)
    saving = min(MINUTES_PER_NAT * gain.nats, later)
    why = f"{_now_or_later(entry.minutes, later)}, and {parts_in_words(at.book, gain.parts)}."
    return InHere("check", gain.check, entry.at, entry.minutes, later, saving, why)


def _remedies(at: Situation) -> list[InHere]:
    return [_remedy(at, name) for name in at.remedies if _is_in_here(at, at.book.remedies[name].at)]


def _remedy(at: Situation, name: str) -> InHere:
    entry = at.book.remedies[name]
    needed = at.needed[name]
    later = entry.minutes + way_back(at, entry.at)
    saving = needed * entry.cures * (later + retest_minutes(at))
    cause = at.likeliest(name)
    told = f"{chance_in_words(needed)} likely to be needed: '{at.book.causes[cause].says}'"
    why = f"{_now_or_later(entry.minutes, later)}, and {told}."
    return InHere("remedy", name, entry.at, entry.minutes, later, saving, why)


def _one_for_each_cause(at: Situation, steps: Sequence[InHere]) -> tuple[InHere, ...]:
    """All checks, and of the remedies for the same causes only the first."""
    served: set[str] = set()
    kept = []
    for step in steps:
        mends = set(at.book.mends[step.id]) if step.kind == "remedy" else set()
        if not mends or mends - served:
            kept.append(step)
            served |= mends
    return tuple(kept)


def _now_or_later(minutes: float, later: float) -> str:
    return f"{minutes_in_words(minutes)} now, {minutes_in_words(later)} once the deck is closed"
