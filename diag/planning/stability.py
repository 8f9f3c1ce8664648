"""How far the shares that a book gives may be off before its advice changes.

Scaling the odds with which a cause d starts by k scales the part of the evidence's mass in which d
was there from the start. So for every cause c, P_k(c) is proportional to P(c, not d) + k P(c, d)
given the evidence, and the factor at which two causes change places is the ratio of two
differences: exact, from one conditional solve a cause. (One-way sensitivity analysis: a posterior
is a ratio of two linear functions of one parameter; Coupé and van der Gaag, Annals of Mathematics
and Artificial Intelligence 36, 2002.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from diag.inference.given_cause import FromStart, from_start
from diag.inference.posterior import solve
from diag.model.figures import log_odds, probability
from diag.planning.entropy import Floats
from diag.planning.gain import STATES
from diag.planning.next_step import NextStep
from diag.planning.policy import Situation, next_steps
from diag.planning.toppling import CLEARLY, first_cause

FURTHEST = 16.0
"""Odds of a book are tried up to so many times too high or too low."""
OFF = 2.0
"""Odds of a book are as soon half or double as right: figures from memory and from practice."""
LEAST = 8
"""Causes whose share is scaled however wide the network is."""


@dataclass(frozen=True, slots=True)
class Shift:
    """A share that would put another cause first.

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

    `shifts` change the first cause and go up to `FURTHEST` times off, the nearest first. `matter`
    are the causes whose share moves all probabilities most, if halved or doubled. `unseen` counts
    the causes that could have mattered and were left out, as the network is too wide.
    """

    shifts: tuple[Shift, ...]
    matter: tuple[str, ...]
    unseen: int


@dataclass(frozen=True, slots=True)
class NewStep:
    """The step that comes next if the odds of a cause at the start are `factor` times as high."""

    cause: str
    factor: float
    step: NextStep | None


def stability(at: Situation) -> Stability:
    """How far the share of any one cause may be off before another cause comes first.

    Raises:
        InferenceError: too many signs hang together for an exact answer.
    """
    suspects, unseen = _suspects(at)
    found = from_start(at.now, suspects)
    now = np.array([at.now.causes[cause] for cause in found.causes])
    first = found.causes.index(first_cause(at.now.causes))
    shifts = []
    for column, cause in enumerate(found.chosen):
        with_it = found.together[:, column]
        for at_factor, other in _crossings(now - with_it, with_it, first):
            share = at.network.start[cause]
            moved = probability(log_odds(share) + float(np.log(at_factor)))
            shifts.append(Shift(cause, at_factor, share, moved, found.causes[other]))
    shifts.sort(key=lambda shift: (shift.times_off, shift.cause, shift.factor))
    moves = _moves(found, now)
    order = sorted(range(len(moves)), key=lambda number: (-moves[number], found.chosen[number]))
    return Stability(tuple(shifts), tuple(found.chosen[n] for n in order[:LEAST]), unseen)


def new_steps(at: Situation, causes: Sequence[str], now: NextStep | None) -> tuple[NewStep, ...]:
    """Which of these causes' shares, halved or doubled in odds, would change the next step.

    Each is solved and planned anew, which may take a second in all. What the intake or a walk asks
    next hangs on no figure.

    Args:
        at: the situation.
        causes: the causes to try.
        now: the step that comes next as things are.
    """
    if now is not None and now.by in ("intake", "walk"):
        return ()
    found = []
    for cause in causes:
        for factor in (1.0 / OFF, OFF):
            start = dict(at.network.start)
            start[cause] = probability(log_odds(start[cause]) + float(np.log(factor)))
            scaled = replace(at.network, start=start)
            steps = next_steps(replace(at, network=scaled, now=solve(scaled)))
            step = steps[0] if steps else None
            if _what(step) != _what(now):
                found.append(NewStep(cause, factor, step))
    return tuple(found)


def _what(step: NextStep | None) -> tuple[str, str] | None:
    return (step.kind, step.id) if step else None


def _suspects(at: Situation) -> tuple[list[str], int]:
    """The causes whose share can change the first, and how many of those are too many to solve.

    The lead of the first cause over another times the mass is linear in the factor k, and its
    slope is at most r, the chance that the scaled cause was there from the start: it stays positive
    if (k - 1) r is below the lead. For a cause that nothing touched r is its probability.
    """
    ordered = sorted(at.now.causes, key=lambda cause: (-at.now.causes[cause], cause))
    lead = at.now.causes[ordered[0]] - at.now.causes[ordered[1]] if len(ordered) > 1 else 1.0
    touched = [cause for cause in ordered if cause in at.network.touches]
    rest = [cause for cause in ordered if cause not in at.network.touches]
    able = [c for c in rest if (FURTHEST - 1.0) * at.now.causes[c] >= lead]
    wanted = [*touched, *(able if len(able) > LEAST else rest[:LEAST])]
    most = max(LEAST, STATES >> at.now.width)
    return wanted[:most], max(0, len(wanted) - most)


def _crossings(without: Floats, with_it: Floats, first: int) -> list[tuple[float, int]]:
    """The nearest factors above and below 1 at which another cause comes level with the first.

    Args:
        without: mass of each cause now without the scaled one at the start, shape (causes,).
        with_it: mass of each cause now with the scaled one at the start, shape (causes,).
        first: the number of the first cause.

    Returns:
        Pairs of the factor and the number of the other cause, within `FURTHEST`.
    """
    lead, slope = without[first] - without, with_it - with_it[first]
    crosses = np.abs(slope) > CLEARLY
    factor = np.divide(lead, slope, out=np.zeros_like(lead), where=crosses)
    found = []
    # The first is first at 1, so that a crossing on the wrong side of it is rounding.
    above = np.where(crosses & (slope > 0), np.maximum(factor, 1.0), np.inf)
    below = np.where(crosses & (slope < 0), np.minimum(factor, 1.0), 0.0)
    for factors, nearest in ((above, int(above.argmin())), (below, int(below.argmax()))):
        if 1.0 / FURTHEST <= factors[nearest] <= FURTHEST:
            found.append((float(factors[nearest]), nearest))
    return found


def _moves(found: FromStart, now: Floats) -> Floats:
    """How far all probabilities move in sum if a share is halved or doubled, shape (chosen,)."""
    most = np.zeros(len(found.chosen))
    for k in (1.0 / OFF, OFF):
        scaled = now[:, None] + (k - 1.0) * found.together
        moved = np.abs(scaled / (1.0 + (k - 1.0) * found.chance) - now[:, None])
        most = np.maximum(most, moved.sum(axis=0))
    return most
