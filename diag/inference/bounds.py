"""Certain intervals for what is too wide to be worked out exactly.

Some bits are relaxed until the rest is narrow. Each world, a choice of a mode for the few causes
on which the relaxed bits depend most, is a row; there the relaxed bits are bounded by factors on
modes, so that each bound is one elimination. With A and B the mass in which a cause is present and
is not, summed over worlds, its probability lies between A_low / (A_low + B_high) and
A_high / (A_high + B_low).

Bits that a trigger sets together are not independent given the modes. Evidence of one direction
(L1 >= L0, or not) goes well together and the two directions go badly (Harris' inequality for
independent firings), so the product of the bits' separate bounds is one from below for all bits
of one direction, and from above for one bit of each; the other bits of such a group get their
least or their greatest likelihood.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import product
from math import prod

import numpy as np
from numpy.typing import NDArray

from diag.inference.elimination import Component
from diag.inference.joint import repeated, solve_rows
from diag.inference.masks import positions
from diag.inference.problem import Problem
from diag.inference.relaxation import LEAST_PULL, Relaxation, slope, tied
from diag.inference.reweighting import Factors, Flags, Reweighting, reweighting
from diag.inference.segments import segment_sums
from diag.inference.values import Array

EASY = 12
"""Open bits of a relaxed problem: with `WORLDS` rows and `ROUNDS` some 0.7 s on 60 x 120."""

WORLDS = 32
"""The most rows in which causes are settled one way or the other."""

WORK = 3e7
"""Numbers that all rows take together, a fifth of a second; fewer worlds keep within it."""

ROUNDS = 4
"""Times that tangents and shares are fitted to what the last solution found."""

SHARES = 3
"""Steps of the shares in each round."""

ROUNDING = 1e-10
"""By which intervals are widened, as sums round."""


@dataclass(frozen=True, slots=True, eq=False)
class Interval:
    """Bounds of each cause's probability and of the log mass of the evidence.

    `middle` is the mean of what the two sides say by themselves, and no bound.
    """

    low: Array
    high: Array
    middle: Array
    log_mass: tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """What is relaxed: bits with the rates at which tangents fit, and causes by influence."""

    relaxation: Relaxation
    at: Array
    influence: tuple[int, ...]
    modes: Array


@dataclass(frozen=True, slots=True, eq=False)
class _Side:
    """One side of the bound: which bits take which inequality, and a factor on all rows."""

    is_upper: bool
    tangent: Flags
    jensen: Flags
    constant: float


def choose(problem: Problem, widest: int) -> Choice:
    """The bits whose relaxation costs least, as many as make every component narrow."""
    wide = [component for component in problem.components if component.width > widest]
    groups = tied(problem)
    every = Relaxation(
        problem, _joined(g for g in groups if any(g[0] in w for w in map(_bits, wide)))
    )
    modes, spread = _spread(every)
    row = {bit: at for at, bit in enumerate(every.bits)}
    loss = spread.sum(axis=1)
    bits: list[int] = []
    for component in wide:
        here = [group for group in groups if group[0] in _bits(component)]
        here.sort(key=lambda group: sum(loss[row[bit]] for bit in group))
        bits += _fewest(problem, here, widest)
    chosen = Relaxation(problem, tuple(bits))
    influence = spread[[row[bit] for bit in bits]].sum(axis=0)
    by_influence = tuple(every.causes[at] for at in np.argsort(-influence, kind="stable"))
    weights = problem.weights[:, None]
    rows = reweighting(chosen, _alive(chosen, weights))
    _, modes = _tightest(rows, weights, _tangents(chosen), modes)
    return Choice(chosen, rows.middle(modes[chosen.modes])[:, 0], by_influence, modes)


def _fewest(problem: Problem, groups: Sequence[Sequence[int]], widest: int) -> list[int]:
    """Bits of as few of the first groups of a component as leave it this narrow."""
    few, many = 1, len(groups)
    while few < many:
        half = (few + many) // 2
        kept = sum(1 << bit for group in groups[half:] for bit in group)
        left = problem.components_of(problem.factors_of(kept))
        fits = max((part.width for part in left), default=0) <= widest
        few, many = (few, half) if fits else (half + 1, many)
    return [bit for group in groups[:few] for bit in group]


def intervals(choice: Choice, is_now: NDArray[np.bool_]) -> Interval | None:
    """Bounds for every cause of the problem; `is_now` tells which modes count as present.

    None if the evidence has no mass.
    """
    relaxation = choice.relaxation
    problem = relaxation.problem
    weights = _worlds(problem, choice.influence, min(WORLDS, WORK / _work(relaxation.rest)))
    rows = reweighting(relaxation, _alive(relaxation, weights))
    upper, lower = _sides(relaxation, tied(problem))
    log_high, modes = _tightest(rows, weights, upper, np.repeat(choice.modes, len(weights.T), 1))
    top = log_high.max()
    if top == -np.inf:
        return None
    high = (modes * np.exp(log_high - top)).sum(axis=1)
    log_low, modes = _tightest(rows, weights, lower, modes)
    low = (modes * np.exp(log_low - top)).sum(axis=1)
    # A cause that no relaxed component holds is known exactly, and both sides have its share.
    low = np.where(_touched(problem, relaxation.bits), low, high)
    sides = (is_now, ~is_now)
    present, absent = ([_by_cause(problem, m, side) for m in (low, high)] for side in sides)
    with np.errstate(invalid="ignore", divide="ignore"):
        least = np.nan_to_num(present[0] / (present[0] + absent[1]), nan=0.0)
        most = np.nan_to_num(present[1] / (present[1] + absent[0]), nan=1.0)
        alone = [p / (p + a) for p, a in zip(present, absent, strict=True)]
        log_mass = [float(np.log(np.exp(m - top).sum()) + top) for m in (log_low, log_high)]
    low, high = np.maximum(least * (1 - ROUNDING), 0.0), np.minimum(most * (1 + ROUNDING), 1.0)
    return Interval(
        low,
        high,
        np.clip(np.where(np.isnan(alone[0]), alone[1], (alone[0] + alone[1]) / 2), low, high),
        (log_mass[0] - ROUNDING, log_mass[1] + ROUNDING),
    )


def _touched(problem: Problem, bits: Sequence[int]) -> Flags:
    """Whether each mode belongs to a cause that shares a component with one of these bits."""
    masks = [component.bits for component in problem.components]
    near = sum(mask for mask in masks if any(mask >> bit & 1 for bit in bits))
    counts = [len(modes) for modes in problem.causes]
    return np.repeat([bool(mask & near) for mask in problem.masks], counts)


def _by_cause(problem: Problem, masses: Array, chosen: Flags) -> Array:
    found: Array = np.add.reduceat(np.where(chosen, masses, 0.0), problem.first)
    return found


def _bits(component: Component) -> list[int]:
    return positions(component.bits)


def _joined(groups: Iterable[Sequence[int]]) -> tuple[int, ...]:
    return tuple(bit for group in groups for bit in group)


def _work(problem: Problem) -> int:
    """Numbers that a row of the problem takes; at least 1."""
    return 1 + sum(component.cost for component in problem.components)


def _worlds(problem: Problem, influence: Sequence[int], most: float) -> Array:
    """Weights of all modes in every world, shape (modes, worlds)."""
    ways: list[list[int]] = []
    for cause in influence:
        alive = [mode for mode, _ in problem.laid(cause) if problem.weights[mode] > 0]
        if len(alive) > 1 and prod(map(len, ways)) * len(alive) <= most:
            ways.append(alive)
    worlds = list(product(*ways))
    weights = np.repeat(problem.weights[:, None], len(worlds), axis=1)
    for way in ways:
        weights[way] = 0
    for number, world in enumerate(worlds):
        weights[list(world), number] = problem.weights[list(world)]
    return weights


def _alive(relaxation: Relaxation, weights: Array) -> Flags:
    return weights[relaxation.modes] > 0


def _sides(relaxation: Relaxation, groups: Sequence[Sequence[int]]) -> tuple[_Side, _Side]:
    """The bound from above and that from below; see the module."""
    row = {bit: at for at, bit in enumerate(relaxation.bits)}
    rises = relaxation.pairs[1] >= relaxation.pairs[0]
    above, below = np.zeros(len(rises), dtype=bool), np.zeros(len(rises), dtype=bool)
    for group in groups:
        here = [row[bit] for bit in group if bit in row]
        up = [at for at in here if rises[at]]
        down = [at for at in here if not rises[at]]
        above[[*up[:1], *down[:1]]] = True
        below[up or down] = True
    return (
        _side(relaxation, True, above & rises, above & ~rises, relaxation.pairs.max(axis=0)),
        _side(relaxation, False, below & ~rises, below & rises, relaxation.pairs.min(axis=0)),
    )


def _tangents(relaxation: Relaxation) -> _Side:
    """Tangents on all bits: no bound, but an estimate."""
    every = np.ones(len(relaxation.bits), dtype=bool)
    return _Side(True, every, ~every, 0.0)


def _side(
    relaxation: Relaxation, is_upper: bool, tangent: Flags, jensen: Flags, other: Array
) -> _Side:
    cut = relaxation.cut[tangent].sum()
    with np.errstate(divide="ignore"):
        constant = np.log(other[~(tangent | jensen)]).sum() + (cut if is_upper else -cut)
    return _Side(is_upper, tangent, jensen, float(constant))


def _tightest(rows: Reweighting, weights: Array, side: _Side, modes: Array) -> tuple[Array, Array]:
    """The tightest bound of each row's log mass that some rounds find, with its modes' shares."""
    relaxation = rows.relaxation
    solve = _solver(relaxation.rest, weights)
    shares, at = rows.even(), rows.least
    best: tuple[Array, Array] | None = None
    for _ in range(ROUNDS):
        here = _alive_shares(relaxation, modes, weights)
        for _ in range(SHARES if side.jensen.any() else 0):
            shares = rows.better(shares, here)
        middle = rows.middle(here)
        at = middle if best is None else np.sqrt(at * middle)
        factors = [rows.tangent(at, side.tangent), rows.jensen(shares, side.jensen)]
        scaled, scale = _scaled(relaxation, weights, factors, side.is_upper)
        log_mass, modes = solve(scaled)
        log_mass = log_mass + scale + side.constant
        if best is None:
            best = log_mass, modes
            continue
        tighter = log_mass < best[0] if side.is_upper else log_mass > best[0]
        best = np.where(tighter, log_mass, best[0]), np.where(tighter, modes, best[1])
    assert best is not None  # there is a round
    return best


def _solver(rest: Problem, weights: Array) -> Callable[[Array], tuple[Array, Array]]:
    """A function from weights to log mass (rows,) and shares of modes, 0 in a row of no mass."""
    _, fires, pairs = repeated(rest, weights.shape[1])

    def solve(scaled: Array) -> tuple[Array, Array]:
        joint = solve_rows(rest, scaled, fires, pairs)
        return joint.log_mass, np.where(joint.log_mass > -np.inf, joint.modes, 0.0)

    return solve


def _alive_shares(relaxation: Relaxation, modes: Array, weights: Array) -> Array:
    """Shares of the relaxation's modes that are alive, summing to one for each cause."""
    here = modes[relaxation.modes] * _alive(relaxation, weights)
    total = segment_sums(here, relaxation.first)[relaxation.owner]
    shares: Array = here / np.where(total > 0, total, 1.0)
    return shares


def _scaled(
    relaxation: Relaxation, weights: Array, factors: Sequence[Factors], is_upper: bool
) -> tuple[Array, Array]:
    """Weights times factors, each cause's scaled lest they overflow; the log scale of each row.

    A bound from above keeps what would fall below `LEAST_PULL`; that from below may lose it.
    """
    alive = _alive(relaxation, weights)
    logs = np.where(alive, sum(factor.modes for factor in factors), -np.inf)
    top = np.maximum.reduceat(logs, relaxation.first, axis=0)
    top = np.where(np.isfinite(top), top, 0.0)
    pulls = logs - top[relaxation.owner]
    if is_upper:
        pulls = np.where(logs > -np.inf, np.maximum(pulls, LEAST_PULL), -np.inf)
    scaled = weights.copy()
    scaled[relaxation.modes] *= np.exp(pulls)
    scale: Array = top.sum(axis=0) + sum(factor.rows for factor in factors)
    return scaled, scale


def _spread(every: Relaxation) -> tuple[Array, Array]:
    """Shares of all modes with all bits relaxed, and what each cause makes each bit's bound lose.

    The loss (bits, causes) is the variance of a bit's rate times half the curvature of f.
    """
    weights = every.problem.weights[:, None]
    rows = reweighting(every, _alive(every, weights))
    totals = np.add.reduceat(weights, every.problem.first)
    counts = np.diff([*every.problem.first.tolist(), len(weights)])
    prior = weights / np.where(totals > 0, totals, 1.0).repeat(counts, axis=0)
    _, modes = _tightest(rows, weights, _tangents(every), prior)
    here = modes[every.modes]
    mean = np.add.reduceat(rows.excess * here, every.first, axis=1)[..., 0]
    square = np.add.reduceat(rows.excess**2 * here, every.first, axis=1)[..., 0]
    steep = slope(every.pairs[..., None], rows.middle(here))
    return modes, np.abs(steep * (1 + steep)) / 2 * (square - mean**2)
