"""How far the shares that a book gives may be off before another cause comes first.

Scaling the odds with which a cause d starts by k scales the part of the evidence's mass in which d
was there from the start. So for every cause c, P_k(c) is proportional to P(c, not d) + k P(c, d)
given the evidence, and the factor at which two causes change places is the ratio of two
differences: exact, from one conditional solve a cause. (One-way sensitivity analysis: a posterior
is a ratio of two linear functions of one parameter; Coupé and van der Gaag, Annals of Mathematics
and Artificial Intelligence 36, 2002.)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf, log

import numpy as np

from diag.inference.given_cause import FromStart, from_start
from diag.model.figures import log_odds, probability
from diag.planning.entropy import Floats
from diag.planning.situation import Situation
from diag.planning.toppling import CLEARLY, first_cause

FURTHEST = 16.0
"""Odds of a book are tried up to so many times too high or too low."""
OFF = 2.0
"""Odds of a book are as soon half or double as right: figures from memory and from practice."""
ROWS = 1 << 20
"""Causes times states of the largest product that are solved: about a second of work."""
LEAST = 8
"""Causes whose share is scaled however wide the network is."""


@dataclass(frozen=True, slots=True)
class Shift:
    """A share that would change which cause is first.

    Were the odds of `cause` at the start `factor` times those of the book, so that its share is
    `share` and not `book_share`, `first` would come level with the first cause; beyond that it is
    the first.
    """

    cause: str
    factor: float
    book_share: float
    share: float
    first: str

    @property
    def times_off(self) -> float:
        """How many times too high or too low the book's odds would have to be."""
        return max(self.factor, 1.0 / self.factor)


@dataclass(frozen=True, slots=True)
class Stability:
    """How far shares may be off, one at a time.

    `shifts` topple a cause that is first or put one first that is not; they go up to `FURTHEST`
    times off, the nearest first. `matter` are the causes whose share moves all probabilities most,
    if halved or doubled. `unseen` counts the causes that could have mattered and were left out, as
    the network is too wide.
    """

    cause: str
    is_first: bool
    shifts: tuple[Shift, ...]
    matter: tuple[str, ...]
    unseen: int


def stability(at: Situation, cause: str) -> Stability:
    """How far the share of any one cause may be off before this cause loses or gains first place.

    The answer is exact if the posterior is.
    """
    first = first_cause(at.now.causes)
    suspects, unseen = _suspects(at, _lead(at.now.causes, first, cause))
    found = from_start(at.now, suspects)
    now = np.array([at.now.causes[each] for each in found.causes])
    number = found.causes.index(cause)
    shifts = []
    for column, scaled in enumerate(found.chosen):
        with_it = found.together[:, column]
        reign = _reign(now - with_it, with_it, number)
        for factor, other in _falls(reign) if cause == first else _rise(reign, number):
            book_share = at.network.start[scaled]
            share = scaled_share(book_share, factor)
            shifts.append(Shift(scaled, factor, book_share, share, found.causes[other]))
    shifts.sort(key=lambda shift: (shift.times_off, shift.cause, shift.factor))
    moves = _moves(found, now)
    order = sorted(range(len(moves)), key=lambda column: (-moves[column], found.chosen[column]))
    matter = tuple(found.chosen[column] for column in order[:LEAST])
    return Stability(cause, cause == first, tuple(shifts), matter, unseen)


def scaled_share(share: float, factor: float) -> float:
    """A share with its odds scaled."""
    return probability(log_odds(share) + log(factor))


def _lead(causes: Mapping[str, float], first: str, cause: str) -> float:
    """How far the first cause is above this one, or above the second if it is this one."""
    if cause != first:
        return causes[first] - causes[cause]
    return causes[first] - max((p for c, p in causes.items() if c != first), default=0.0)


def _suspects(at: Situation, lead: float) -> tuple[list[str], int]:
    """The causes whose share can use up a lead, and how many of those are too many to solve.

    The lead of one cause over another times the mass is linear in the factor k, and its slope is
    at most r, the chance that the scaled cause was there from the start: it stays positive if
    (k - 1) r is below the lead. For a cause that nothing touched r is its probability.
    """
    now = at.now.causes
    ordered = sorted(now, key=lambda cause: (-now[cause], cause))
    touched = [cause for cause in ordered if cause in at.network.touches]
    rest = [cause for cause in ordered if cause not in at.network.touches]
    able = [cause for cause in rest if (FURTHEST - 1.0) * now[cause] >= lead]
    wanted = [*touched, *(able if len(able) > LEAST else rest[:LEAST])]
    most = max(LEAST, ROWS >> at.now.width)
    return wanted[:most], max(0, len(wanted) - most)


@dataclass(frozen=True, slots=True)
class _Reign:
    """The factors between which a cause is first, and the numbers of those it is level with there.

    It never is if `low` is above `high`.
    """

    low: float
    high: float
    at_low: int
    at_high: int


def _reign(without: Floats, with_it: Floats, number: int) -> _Reign:
    """Where a cause is first if another one's odds are scaled.

    Args:
        without: mass of each cause now without the scaled one at the start, shape (causes,).
        with_it: mass of each cause now with the scaled one at the start, shape (causes,).
        number: the number of the cause in question.
    """
    lead, slope = without[number] - without, with_it[number] - with_it
    rises, falls = slope > CLEARLY, slope < -CLEARLY
    level = np.divide(-lead, slope, out=np.zeros_like(lead), where=rises | falls)
    if np.any(~rises & ~falls & (lead + slope < -CLEARLY)):
        return _Reign(inf, -inf, number, number)
    low, high = np.where(rises, level, -inf), np.where(falls, level, inf)
    at_low, at_high = int(low.argmax()), int(high.argmin())
    return _Reign(float(low[at_low]), float(high[at_high]), at_low, at_high)


def _falls(reign: _Reign) -> list[tuple[float, int]]:
    """The factors within reach at which the first cause is toppled, and by which.

    It is first at 1, so that an end on the wrong side of that is rounding.
    """
    ends = (min(reign.low, 1.0), reign.at_low), (max(reign.high, 1.0), reign.at_high)
    return [(at, other) for at, other in ends if 1.0 / FURTHEST <= at <= FURTHEST]


def _rise(reign: _Reign, number: int) -> list[tuple[float, int]]:
    """The factor within reach, if there is one, from which on a cause is the first."""
    if reign.low > reign.high:
        return []
    nearest = reign.low if reign.low >= 1.0 else reign.high
    return [(nearest, number)] if 1.0 / FURTHEST <= nearest <= FURTHEST else []


def _moves(found: FromStart, now: Floats) -> Floats:
    """How far all probabilities move in sum if a share is halved or doubled, shape (chosen,)."""
    most = np.zeros(len(found.chosen))
    for k in (1.0 / OFF, OFF):
        scaled = now[:, None] + (k - 1.0) * found.together
        moved = np.abs(scaled / (1.0 + (k - 1.0) * found.chance) - now[:, None])
        most = np.maximum(most, moved.sum(axis=0))
    return most
