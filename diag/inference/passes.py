"""The elimination in numbers: forward for the mass, backward for every marginal.

A factor holds, for every subset of its open bits, the mass in which exactly those bits have been
set; a summed bit (see `program`) holds the mass of both in place of that of set. Two factors are
multiplied: number by number, but that a moved bit which both have is set if either sets it. A bit
is closed against its pair of likelihoods when all its causes are in. Only sums and products of
non-negative numbers occur, so the relative error stays near the rounding of one operation times
their number, however small the priors. (Method: variable elimination with causal independence,
Zhang and Poole, Journal of Artificial Intelligence Research 5, 1996; for summed bits in the sums
over subsets of the fast Moebius transform, where it is a product.)

Rows are independent problems of one structure, on the last axis of every array.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, sqrt
from typing import NamedTuple, TypeAlias

import numpy as np

from diag.inference.firing import fired, fired_back
from diag.inference.products import joined, parted
from diag.inference.program import Fire, Join, Program, Step
from diag.inference.tables import by_cause, by_factor, filled, mode_masses
from diag.inference.values import Array, Values

TAPE = 1 << 23
"""Numbers kept for the way back (64 MB); a longer run keeps check points and runs again."""

Inputs: TypeAlias = tuple[Array, ...]
"""What a step was given."""

Numbered: TypeAlias = Sequence[tuple[int, Step]]
"""Steps with the number of what each makes."""


class _Run(NamedTuple):
    """What a run works on.

    `pairs` has the likelihoods by bit with what single causes do to it, `scales` what closings
    divided rows by.
    """

    values: Values
    pairs: Array
    scales: list[Array]


def run(program: Program, values: Values, joint: Array, open_mass: Array) -> Array:
    """Natural logarithm of the mass of each row, shape (rows,); minus infinity if there is none.

    Fills `joint` (modes, rows) with each mode's mass and `open_mass` (bits, 2, rows) with what
    follows a bit at either side of its opening. Both are right up to a factor per cause or bit and
    row, so only their ratios within one cause or bit mean anything.
    """
    rows = values.weights.shape[1]
    full = [filled(tables, values) for tables in program.tables]
    causes = [by_cause(tables, each) for tables, each in zip(program.tables, full, strict=True)]
    live = _factors(program, causes)
    state = _Run(values, _pairs(program, values), [])
    segments = _segments(program, rows)
    starts: list[dict[int, Array]] = []
    taken: list[Inputs] = []
    for segment in segments:
        taken = []  # what the segment before was given is not needed while this one runs
        starts.append(dict(live))
        taken = _forward(segment, live, state)
    ((last, mass),) = live.items()
    back = {last: np.ones((1, rows))}
    ends = np.zeros_like(values.pairs)
    for number, segment in reversed([*enumerate(segments)]):
        again = starts.pop()
        if number < len(segments) - 1:
            taken = []
            taken = _forward(segment, again, state._replace(scales=[]))
        del again
        _backward(segment, taken, back, state, (joint, ends))
    for tables, each, summed in zip(program.tables, full, causes, strict=True):
        follow = [back[factor] for factor in tables.factors]
        joint[tables.modes] = mode_masses(each, summed, follow)
    _open(program, values, ends, open_mass)
    return _log_mass(mass, state)


def run_forward(program: Program, values: Values) -> Array:
    """What `run` returns, without the way back."""
    causes = [by_cause(tables, filled(tables, values)) for tables in program.tables]
    live = _factors(program, causes)
    state = _Run(values, _pairs(program, values), [])
    for numbered in enumerate(program.steps, start=program.first_made):
        _forward([numbered], live, state)
    (mass,) = live.values()
    return _log_mass(mass, state)


def rows_at_once(program: Program) -> int:
    """How many rows keep within the tape; at least one."""
    return max(1, TAPE // program.size)


def _segments(program: Program, rows: int) -> list[Numbered]:
    """All steps at once if they keep within the tape, else stretches of equal size between them."""
    numbered = [*enumerate(program.steps, start=program.first_made)]
    if rows * program.size <= TAPE:
        return [numbered]
    most = sum(step.size for step in program.steps) / ceil(sqrt(len(numbered)))
    found: list[list[tuple[int, Step]]] = [[]]
    size = 0
    for number, step in numbered:
        if found[-1] and size + step.size > most:
            found.append([])
            size = 0
        found[-1].append((number, step))
        size += step.size
    return [*found]


def _factors(program: Program, causes: Sequence[Array]) -> dict[int, Array]:
    return {
        number: factor
        for tables, summed in zip(program.tables, causes, strict=True)
        for number, factor in zip(tables.factors, by_factor(summed), strict=True)
    }


def _pairs(program: Program, values: Values) -> Array:
    """The likelihoods of each bit together with its opening, shape (bits, 2, rows).

    What single causes did to a moved bit stays done: a bit that they set is set in both states.
    """
    found = values.pairs * values.openings
    moved = program.moved
    unset, is_set = values.openings[moved, 0], values.openings[moved, 1]
    found[moved, 0] += is_set * values.pairs[moved, 1]
    found[moved, 1] = (unset + is_set) * values.pairs[moved, 1]
    return found


def _open(program: Program, values: Values, ends: Array, open_mass: Array) -> None:
    """What follows either side of each opening, from what meets either state of the bit."""
    bits, moved = program.bits, program.moved
    open_mass[bits] = ends[bits] * values.pairs[bits]
    open_mass[moved, 1] = ends[moved].sum(axis=1) * values.pairs[moved, 1]
    open_mass[moved, 0] += ends[moved, 1] * values.pairs[moved, 1]


def _log_mass(mass: Array, state: _Run) -> Array:
    """Logarithm of what is left when every bit is closed, and of what it was divided by."""
    with np.errstate(divide="ignore"):
        # A row that takes back what was said of a summed bit can round to just below nothing.
        found: Array = np.log(np.maximum(mass[0], 0.0))
    found += np.log(state.scales).sum(axis=0)
    return found


def _forward(steps: Numbered, live: dict[int, Array], state: _Run) -> list[Inputs]:
    """What each step was given; `live` has what was made and not yet used, before and after."""
    found: list[Inputs] = []
    for number, step in steps:
        if isinstance(step, Join):
            left, right = live.pop(step.left), live.pop(step.right)
            live[number] = joined(step.shapes, left, right)
            found.append((left, right))
            continue
        given = _nothing(state) if step.of is None else live.pop(step.of)
        found.append((given,))
        if isinstance(step, Fire):
            live[number] = fired(step, given, state.values)
            continue
        unset, is_set = state.pairs[step.bit]
        made = unset * given[: step.size]
        made += is_set * given[step.size :]
        if step.rescale:
            scale = made.sum(axis=0)
            scale[scale <= 0] = 1
            made /= scale
            state.scales.append(scale)
        live[number] = made
    return found


def _nothing(state: _Run) -> Array:
    """The factor of no bit, into which a first cause is fired."""
    return np.ones((1, state.pairs.shape[-1]))


def _backward(
    steps: Numbered,
    taken: Sequence[Inputs],
    back: dict[int, Array],
    state: _Run,
    into: tuple[Array, Array],
) -> None:
    """From what follows each state after every step to what follows each before it.

    Fills the masses of modes that were fired (modes, rows), and for each bit that is closed the
    mass that meets either of its states (bits, 2, rows).
    """
    joint, ends = into
    for (number, step), given in zip(reversed(steps), reversed(taken), strict=True):
        after = back.pop(number)
        if isinstance(step, Join):
            back[step.left], back[step.right] = parted(step.shapes, after, *given)
        elif isinstance(step, Fire):
            before = fired_back(step, given[0], after, state.values, joint)
            if step.of is not None:
                back[step.of] = before
        else:
            if step.rescale:
                scale = after.max(axis=0)
                scale[scale <= 0] = 1
                after /= scale
            halves = given[0].reshape(2, step.size, -1)
            ends[step.bit] = np.einsum("sr,bsr->br", after, halves)
            spread = state.pairs[step.bit][:, None] * after
            back[step.of] = spread.reshape(given[0].shape)
