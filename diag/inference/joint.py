"""Mass of every mode of every cause together with the evidence, for many rows at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diag.inference.passes import rows_at_once, run, run_forward
from diag.inference.problem import Problem
from diag.inference.program import Program
from diag.inference.segments import segment_sums
from diag.inference.values import Array, Indices, Values


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


def repeated(problem: Problem, rows: int = 1) -> tuple[Array, Array, Array]:
    """Weights, fires and pairs of a problem as so many equal rows, in the shapes of `solve_rows`.

    They are copies, to be changed row by row.
    """
    pairs = np.array(problem.pairs).reshape(-1, 2, 1)
    return (
        np.repeat(problem.weights[:, None], rows, axis=1),
        np.repeat(problem.fires[:, None], rows, axis=1),
        np.repeat(pairs, rows, axis=2),
    )


def solve_rows(problem: Problem, weights: Array, fires: Array, pairs: Array) -> Joint:
    """Solve rows that share a structure.

    Shapes: `weights` (modes, rows), `fires` (slots + 1, rows), `pairs` (bits, 2, rows). A
    component whose numbers equal those of row 0 is not solved again.
    """
    weights, log_mass = _normal(problem, weights)
    masses = weights.copy()
    folded = _fold(problem, weights, fires, len(pairs))
    values = _values(problem, weights, fires, pairs, folded.openings)
    after = pairs.copy()
    closed = _closed(problem, folded, pairs)
    impossible = problem.lone[closed[:, 0] == 0].tolist()
    with np.errstate(divide="ignore"):
        log_mass += np.log(closed).sum(axis=0)
    for coupled in problem.coupled:
        log_part = _solve_component(coupled, values, masses, after)
        log_mass += log_part
        if log_part[0] == -np.inf:
            impossible += coupled.bits.tolist()
    after[problem.held, 0] += after[problem.held, 1]
    _unfold(problem, values, folded, after, masses)
    return Joint(_shares(problem, masses), log_mass, tuple(impossible))


def log_mass_rows(problem: Problem, weights: Array, fires: Array, pairs: Array) -> Array:
    """The same rows' log mass alone, shape (rows,): half the work."""
    weights, log_mass = _normal(problem, weights)
    folded = _fold(problem, weights, fires, len(pairs))
    values = _values(problem, weights, fires, pairs, folded.openings)
    with np.errstate(divide="ignore"):
        log_mass += np.log(_closed(problem, folded, pairs)).sum(axis=0)
    for coupled in problem.coupled:
        chosen = _differing(coupled, values)
        part = run_forward(coupled, _some(values, chosen))
        log_part = np.full(len(log_mass), part[0])
        log_part[chosen] = part
        log_mass += log_part
    return log_mass


def _closed(problem: Problem, folded: _Folded, pairs: Array) -> Array:
    """Mass of each bit that no component has, shape (lone, rows)."""
    lone = problem.lone
    found: Array = (folded.openings[lone] * pairs[lone]).sum(axis=1)
    return found


def _values(
    problem: Problem, weights: Array, fires: Array, pairs: Array, openings: Array
) -> Values:
    """The numbers of the elimination, those of summed bits as it takes them."""
    summed = problem.summed
    if len(summed):
        pairs, openings = pairs.copy(), openings.copy()
        pairs[summed, 0] -= pairs[summed, 1]
        openings[summed, 1] += openings[summed, 0]
    return Values(weights, fires, 1 - fires, pairs, openings)


def _normal(problem: Problem, weights: Array) -> tuple[Array, Array]:
    """Weights of which each cause's sum to one, and the logarithm of what each row was scaled by.

    So neither many causes nor strong reweightings overflow, whatever is multiplied later.
    """
    if not len(problem.first):
        return weights, np.zeros(weights.shape[1])
    totals = segment_sums(weights, problem.first)
    with np.errstate(divide="ignore"):
        log_mass: Array = np.log(totals).sum(axis=0)
    totals[totals == 0] = 1
    return weights / totals[problem.owner], log_mass


def _fold(problem: Problem, weights: Array, fires: Array, bits: int) -> _Folded:
    """Openings of all bits: mass of not set and set by the causes that reach only that bit.

    Causes of a bit stand in places. A bit is set by the first of them that fires, or by the last;
    so what the others do without one cause comes from those before and after it, by sums and
    products only.
    """
    singles = problem.singles
    rows = weights.shape[1]
    if not len(singles.modes):
        never = np.zeros((0, rows))
        unset = np.ones((bits, rows))
        return _Folded(np.stack([unset, np.zeros((bits, rows))], axis=1), never, never)
    weight, fire = weights[singles.modes], fires[singles.slots]
    silent = segment_sums(weight * (1 - fire), singles.first)
    fired = segment_sums(weight * fire, singles.first)
    # Index -1 of the table meets the last row: a cause that is never there.
    unset = np.vstack([silent, np.ones((1, rows))])[singles.table]
    is_set = np.vstack([fired, np.zeros((1, rows))])[singles.table]
    before_unset, before_set = _running(unset, is_set)
    after_unset, after_set = (side[:, ::-1] for side in _running(unset[:, ::-1], is_set[:, ::-1]))
    opened = (
        before_unset[:, -1] * unset[:, -1],
        before_set[:, -1] + before_unset[:, -1] * is_set[:, -1],
    )
    at = singles.bits, singles.places
    return _Folded(
        openings=np.stack(opened, axis=1),
        rest_unset=(before_unset * after_unset)[at],
        rest_set=(before_set + before_unset * after_set)[at],
    )


def _running(unset: Array, is_set: Array) -> tuple[Array, Array]:
    """Chance that none of the causes at earlier places fires, and that one does.

    All shapes are (bits, places, rows).
    """
    none = np.ones_like(unset)
    some = np.zeros_like(is_set)
    for at in range(unset.shape[1] - 1):
        np.multiply(none[:, at], unset[:, at], out=none[:, at + 1])
        np.add(some[:, at], is_set[:, at] * none[:, at], out=some[:, at + 1])
    return none, some


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


def _solve_component(coupled: Program, values: Values, masses: Array, after: Array) -> Array:
    """Solve the rows that differ from the first; returns the log mass of all (rows,)."""
    rows = values.weights.shape[1]
    if rows == 1:
        return run(coupled, values, masses, after)
    chosen = _differing(coupled, values)
    log_mass = np.zeros(rows)
    chunk = rows_at_once(coupled)
    for start in range(0, len(chosen), chunk):
        part = chosen[start : start + chunk]
        some = _some(values, part)
        joint, open_mass = np.empty_like(some.weights), np.empty_like(some.pairs)
        log_mass[part] = run(coupled, some, joint, open_mass)
        masses[np.ix_(coupled.modes, part)] = joint[coupled.modes]
        after[coupled.bits[:, None], :, part] = open_mass[coupled.bits].transpose(0, 2, 1)
    same = np.delete(np.arange(rows), chosen)
    if len(same):
        log_mass[same] = log_mass[0]
        masses[np.ix_(coupled.modes, same)] = masses[coupled.modes, :1]
        after[coupled.bits[:, None], :, same] = after[coupled.bits, None, :, 0]
    return log_mass


def _differing(coupled: Program, values: Values) -> Indices:
    """The rows of which a number of this component differs from row 0, and row 0."""
    rows = values.weights.shape[1]
    differs = np.zeros(rows, dtype=bool)
    differs[0] = True
    if rows > 1:
        for numbers, at in (
            (values.weights, coupled.modes),
            (values.fires, coupled.slots),
            (values.pairs, coupled.bits),
            (values.openings, coupled.bits),
        ):
            changed = numbers[at] != numbers[at][..., :1]
            differs |= changed.reshape(-1, rows).any(axis=0)
    return np.flatnonzero(differs)


def _some(values: Values, rows: Indices) -> Values:
    """Only these rows."""
    return Values(
        values.weights[..., rows],
        values.fires[..., rows],
        values.quiet[..., rows],
        values.pairs[..., rows],
        values.openings[..., rows],
    )


def _shares(problem: Problem, masses: Array) -> Array:
    """Masses of a cause's modes scaled to sum to one in each row."""
    if not len(problem.first):
        return masses
    totals = segment_sums(masses, problem.first)
    with np.errstate(divide="ignore", invalid="ignore"):
        masses /= totals[problem.owner]
    return masses
