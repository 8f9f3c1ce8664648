"""Mass of every mode of every cause together with the evidence, for many rows at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diag.inference.problem import Coupled, Problem
from diag.inference.sweep import TAPE, Array, Values, run


@dataclass(frozen=True, slots=True)
class Joint:
    """A solved problem.

    `modes` (modes, rows) is the probability of each mode given the evidence; `log_mass` (rows,)
    the natural logarithm of the probability of the evidence, minus infinity if it has none (that
    row of `modes` then means nothing). `impossible` are bits that together have no mass in the
    first row.
    """

    modes: Array
    log_mass: Array
    impossible: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Folded:
    """What the causes of a single bit do to it: the bit's opening, and that without each cause."""

    openings: Array
    rest_unset: Array
    rest_set: Array


def solve_rows(problem: Problem, weights: Array, fires: Array, pairs: Array) -> Joint:
    """Solve rows that share a structure.

    Shapes: `weights` (modes, rows), `fires` (slots + 1, rows), `pairs` (bits, 2, rows). A
    component whose numbers equal those of row 0 is not solved again.
    """
    rows = weights.shape[1]
    masses = weights.copy()
    folded = _fold(problem, weights, fires, len(pairs))
    values = Values(weights, fires, pairs, folded.openings)
    after = pairs.copy()
    log_mass = np.zeros(rows)
    impossible: list[int] = []
    with np.errstate(divide="ignore"):
        lone = problem.lone
        closed = (folded.openings[lone] * pairs[lone]).sum(axis=1)
        log_mass += np.log(closed).sum(axis=0)
        impossible += lone[closed[:, 0] == 0].tolist()
        if len(problem.first):
            totals = np.add.reduceat(weights, problem.first, axis=0)
            log_mass += np.log(totals[problem.free]).sum(axis=0)
    for coupled in problem.coupled:
        log_part = _solve_component(coupled, values, masses, after)
        log_mass += log_part
        if log_part[0] == -np.inf:
            impossible += coupled.bits.tolist()
    _unfold(problem, values, folded, after, masses)
    return Joint(_shares(problem, masses), log_mass, tuple(impossible))


def _fold(problem: Problem, weights: Array, fires: Array, bits: int) -> _Folded:
    """Openings of all bits: mass of not set and set by the causes that reach only that bit."""
    singles = problem.singles
    rows = weights.shape[1]
    unset, is_set = np.ones((bits, rows)), np.zeros((bits, rows))
    if not len(singles.modes):
        return _Folded(np.stack([unset, is_set], axis=1), unset[:0], is_set[:0])
    weight, fire = weights[singles.modes], fires[singles.slots]
    silent = np.add.reduceat(weight * (1 - fire), singles.first, axis=0)
    fired = np.add.reduceat(weight * fire, singles.first, axis=0)
    # Rests come from the causes before and after, not from a division, which may be by zero.
    rest_unset, rest_set = np.empty_like(silent), np.empty_like(fired)
    for causes, at in singles.layers:
        rest_unset[causes], rest_set[causes] = unset[at], is_set[at]
        is_set[at] = is_set[at] * (silent[causes] + fired[causes]) + unset[at] * fired[causes]
        unset[at] *= silent[causes]
    openings = np.stack([unset, is_set], axis=1)
    unset[:], is_set[:] = 1, 0
    for causes, at in reversed(singles.layers):
        rest_set[causes] = (
            rest_set[causes] * (unset[at] + is_set[at]) + rest_unset[causes] * is_set[at]
        )
        rest_unset[causes] *= unset[at]
        is_set[at] = is_set[at] * (silent[causes] + fired[causes]) + unset[at] * fired[causes]
        unset[at] *= silent[causes]
    return _Folded(openings, rest_unset, rest_set)


def _unfold(problem: Problem, values: Values, folded: _Folded, after: Array, into: Array) -> None:
    """Mass of every mode that reaches a single bit, from what follows that bit's opening."""
    singles = problem.singles
    if not len(singles.modes):
        return
    fire = values.fires[singles.slots]
    if_unset, if_set = (after[singles.bits, side] for side in (0, 1))
    silent = folded.rest_unset * if_unset + folded.rest_set * if_set
    fired = (folded.rest_unset + folded.rest_set) * if_set
    into[singles.modes] *= (1 - fire) * silent[singles.owner] + fire * fired[singles.owner]


def _solve_component(coupled: Coupled, values: Values, masses: Array, after: Array) -> Array:
    """Run the sweep for the rows that differ from the first; returns their log mass (rows,)."""
    rows = values.weights.shape[1]
    differs = np.zeros(rows, dtype=bool)
    for numbers, at in (
        (values.weights, coupled.modes),
        (values.fires, coupled.slots),
        (values.pairs, coupled.bits),
        (values.openings, coupled.bits),
    ):
        changed = numbers[at] != numbers[at][..., :1]
        differs |= changed.reshape(-1, rows).any(axis=0)
    differs[0] = True
    chosen = np.flatnonzero(differs)
    log_mass = np.zeros(rows)
    chunk = max(1, TAPE // sum(1 << step.width for step in coupled.steps))
    for start in range(0, len(chosen), chunk):
        part = chosen[start : start + chunk]
        some = Values(*(n[..., part] for n in _arrays(values)))
        joint, open_mass = np.empty_like(some.weights), np.empty_like(some.pairs)
        log_mass[part] = run(coupled.steps, some, joint, open_mass)
        masses[np.ix_(coupled.modes, part)] = joint[coupled.modes]
        after[coupled.bits[:, None], :, part] = open_mass[coupled.bits].transpose(0, 2, 1)
    same = np.flatnonzero(~differs)
    if len(same):
        log_mass[same] = log_mass[0]
        masses[np.ix_(coupled.modes, same)] = masses[coupled.modes, :1]
        after[coupled.bits[:, None], :, same] = after[coupled.bits, None, :, 0]
    return log_mass


def _arrays(values: Values) -> tuple[Array, Array, Array, Array]:
    return values.weights, values.fires, values.pairs, values.openings


def _shares(problem: Problem, masses: Array) -> Array:
    """Masses of a cause's modes scaled to sum to one in each row."""
    if not len(problem.first):
        return masses
    totals = np.add.reduceat(masses, problem.first, axis=0)
    counts = np.diff([*problem.first.tolist(), len(masses)])
    with np.errstate(divide="ignore", invalid="ignore"):
        masses /= np.repeat(totals, counts, axis=0)
    return masses
