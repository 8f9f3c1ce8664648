"""The frontier sweep: forward for the mass, backward for every marginal. Arrays and axes only.

The frontier holds, for every subset of the open bits, the mass in which exactly those bits have
been set so far; a summed bit (see `layout`) holds the mass of both in place of that of set. A cause
is swept by one pass over its modes, several causes of summed bits by one pass together; a bit is
closed against its pair of likelihoods when its last cause is through. Only sums and products of
non-negative numbers occur, so the relative error stays near the rounding of one operation times
their number, however small the priors. (Method: variable elimination with the causal-independence
chain of Heckerman 1993, taken for all bits at once; for summed bits in the sums over subsets of the
fast Moebius transform, where it is a product.)

Rows are independent problems of one structure, on the last axis of every array.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, sqrt
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from diag.inference.layout import Link, Step, Tables

Array: TypeAlias = NDArray[np.float64]

TAPE = 1 << 23
"""Numbers kept for the way back (64 MB); a longer sweep keeps check points and runs again."""


@dataclass(frozen=True, slots=True)
class Values:
    """Numbers of a sweep.

    Shapes: `weights` (modes, rows), `fires` and `quiet` (slots, rows), `pairs` and `openings`
    (bits, 2, rows). `quiet` is one less `fires`. An opening is the mass with which a bit starts
    unset and set; that of a summed bit the mass of unset and of both, and its pair L0 - L1 and L1.
    """

    weights: Array
    fires: Array
    quiet: Array
    pairs: Array
    openings: Array


def run(steps: tuple[Step, ...], values: Values, joint: Array, open_mass: Array) -> Array:
    """Natural logarithm of the mass of each row, shape (rows,); minus infinity if there is none.

    Fills `joint` (modes, rows) with each swept mode's mass and `open_mass` (bits, 2, rows) with
    what follows a bit at either side of its opening. Both are right up to a factor per cause or
    bit and row, so only their ratios within one cause or bit mean anything.
    """
    rows = values.weights.shape[1]
    tape = rows * sum(step.size for step in steps)
    length = len(steps) if tape <= TAPE else ceil(sqrt(len(steps)))
    segments = [steps[at : at + length] for at in range(0, len(steps), length)]
    frontier = np.ones((1, rows))
    log_mass = np.zeros(rows)
    starts = []
    passed: list[_Passed] = []
    for segment in segments:
        starts.append(frontier)
        passed, frontier = _record(segment, frontier, values, log_mass)
    back = np.ones((1, rows))
    for number, segment in reversed([*enumerate(segments)]):
        if number < len(segments) - 1:
            passed, _ = _record(segment, starts[number], values, np.zeros(rows))
        for step in reversed(segment):
            back = _backward(step, passed.pop(), back, values, (joint, open_mass))
    return log_mass + _log(frontier)


def run_forward(steps: tuple[Step, ...], values: Values) -> Array:
    """What `run` returns, without the way back."""
    rows = values.weights.shape[1]
    frontier = np.ones((1, rows))
    log_mass = np.zeros(rows)
    for step in steps:
        _, frontier = _record((step,), frontier, values, log_mass)
    return log_mass + _log(frontier)


def _log(frontier: Array) -> Array:
    """Logarithm of what is left when every bit is closed."""
    with np.errstate(divide="ignore"):
        # A row that takes back what was said of a summed bit can round to just below nothing.
        found: Array = np.log(np.maximum(frontier[0], 0.0))
    return found


@dataclass(frozen=True, slots=True)
class _Passed:
    """What a step leaves on the way forward.

    `states` are the frontiers before and after each opening, `tables` (modes, entries, rows) those
    of its modes, `causes` (causes, entries, rows) their sums by cause.
    """

    states: list[Array]
    tables: Array
    causes: Array

    @property
    def product(self) -> Array:
        """What all causes of the step together do to summed bits, shape (entries, rows)."""
        found: Array = self.causes[0]
        if len(self.causes) > 1:
            found = np.multiply.reduce(self.causes, axis=0)
        return found


def _record(
    segment: tuple[Step, ...], frontier: Array, values: Values, log_mass: Array
) -> tuple[list[_Passed], Array]:
    """What each step leaves, and the frontier after the last."""
    found = []
    for step in segment:
        tables = _filled(step.tables, values)
        causes = np.add.reduceat(tables, step.tables.first, axis=0)
        passed = _Passed(_opened(step, frontier, values), tables, causes)
        found.append(passed)
        frontier = _forward(step, passed, values, log_mass)
    return found, frontier


def _filled(tables: Tables, values: Values) -> Array:
    """Each mode's weight with the silence of its triggers, shape (modes, entries, rows)."""
    count, rows = len(tables.modes), values.weights.shape[1]
    found = np.empty((count, 1 << tables.bits, rows))
    found[...] = values.weights[tables.modes][:, None]
    for bit, quiet in enumerate(values.quiet[tables.slots]):
        unset = found.reshape(count, 1 << bit, 2, -1, rows)[:, :, 0]
        unset *= quiet[:, None, None]
    for mode, slot, all_set in tables.together:
        table = found[mode].reshape((2,) * tables.bits + (rows,))
        kept = table[all_set].copy()
        table *= values.quiet[slot]
        table[all_set] = kept
    return found


def _opened(step: Step, frontier: Array, values: Values) -> list[Array]:
    """The frontier before any opening, and after each."""
    states = [frontier]
    for bit in step.opens:
        grown = values.openings[bit][:, None, :] * states[-1]
        states.append(grown.reshape(-1, grown.shape[-1]))
    return states


def _times(tables: Tables, state: Array, table: Array) -> Array:
    """A frontier multiplied by a table (entries, rows)."""
    if not tables.bits:
        return state * table
    rows = state.shape[-1:]
    found = state.reshape(tables.view + rows) * table.reshape(tables.broad + rows)
    return found.reshape(state.shape)


def _forward(step: Step, passed: _Passed, values: Values, log_mass: Array) -> Array:
    """The frontier after a step, from that after its openings; adds its scale to `log_mass`."""
    before = passed.states[-1]
    if step.links:
        after = np.zeros_like(before)
        for links, table in zip(step.links, passed.tables, strict=True):
            part = _times(step.tables, before, table)
            for link in links:
                _fire(part, link, values)
            after += part
    else:
        after = _times(step.tables, before, passed.product)
    for bit, outer, inner in step.closes:
        view = after.reshape(outer, 2, inner, -1)
        absent, present = values.pairs[bit]
        after = (absent * view[:, 0] + present * view[:, 1]).reshape(outer * inner, -1)
    if step.rescale:
        scale = after.sum(axis=0)
        scale[scale <= 0] = 1
        after /= scale
        log_mass += np.log(scale)
    return after


def _fire(state: Array, link: Link, values: Values) -> None:
    """Let a trigger fire: move its share of the mass to the states in which its bits are set."""
    chance, quiet = values.fires[link.slot], values.quiet[link.slot]
    if not link.axes:
        view = state.reshape(link.outer, 2, link.inner, -1)
        unset, is_set = view[:, 0], view[:, 1]
        is_set += chance * unset
        unset *= quiet
        return
    view = _axes(state)
    moved = chance * view[link.held].sum(axis=link.axes, keepdims=True)
    view *= quiet
    view[link.all_set] += moved.reshape(view[link.all_set].shape)


def _fire_back(state: Array, link: Link, values: Values) -> None:
    """The transpose of `_fire`."""
    chance, quiet = values.fires[link.slot], values.quiet[link.slot]
    if not link.axes:
        view = state.reshape(link.outer, 2, link.inner, -1)
        unset = view[:, 0]
        unset *= quiet
        unset += chance * view[:, 1]
        return
    view = _axes(state)
    held = view[link.held]
    is_set = chance * view[link.all_set].reshape(
        [1 if axis in link.axes else size for axis, size in enumerate(held.shape)]
    )
    view *= quiet
    held += is_set


def _axes(state: Array) -> Array:
    """The same states with one axis for each open bit, rows last."""
    width = state.shape[0].bit_length() - 1
    return state.reshape((2,) * width + (state.shape[1],))


def _backward(
    step: Step, passed: _Passed, back: Array, values: Values, into: tuple[Array, Array]
) -> Array:
    """What follows each state before the step, given what follows each state after it."""
    joint, open_mass = into
    for bit, outer, inner in reversed(step.closes):
        spread = values.pairs[bit][:, None, :] * back.reshape(outer, 1, inner, -1)
        back = spread.reshape(2 * outer * inner, -1)
    *earlier, before = passed.states
    if step.links:
        total = np.zeros_like(back)
        for mode, links, table in zip(step.tables.modes, step.links, passed.tables, strict=True):
            part = back.copy()
            for link in reversed(links):
                _fire_back(part, link, values)
            joint[mode] = (_met(step.tables, before, part) * table).sum(axis=0)
            total += _times(step.tables, part, table)
        back = total
    else:
        around = _met(step.tables, before, back) * _without_each(passed.causes)
        joint[step.tables.modes] = (passed.tables * around[step.tables.owner]).sum(axis=1)
        back = _times(step.tables, back, passed.product)
    for bit, state in zip(reversed(step.opens), reversed(earlier), strict=True):
        view = back.reshape(2, state.shape[0], -1)
        open_mass[bit] = np.einsum("bsr,sr->br", view, state)
        back = np.einsum("br,bsr->sr", values.openings[bit], view)
    if step.rescale:
        scale = back.max(axis=0)
        scale[scale <= 0] = 1
        back = back / scale
    return back


def _met(tables: Tables, before: Array, back: Array) -> Array:
    """Mass of the states before times what follows them, summed over all that tables don't show.

    Shape (entries, rows).
    """
    if not tables.bits:
        whole: Array = np.einsum("sr,sr->r", before, back)[None]
        return whole
    rows = before.shape[-1:]
    gaps = tuple(axis for axis, size in enumerate(tables.broad) if size == 1)
    product = (before * back).reshape(tables.view + rows)
    found: Array = product.sum(axis=gaps).reshape(-1, *rows)
    return found


def _without_each(causes: Array) -> Array:
    """The product of the tables of all other causes of a step, (causes, entries, rows)."""
    found = np.ones_like(causes)
    if len(causes) > 1:
        np.cumprod(causes[:-1], axis=0, out=found[1:])
        found[:-1] *= np.cumprod(causes[:0:-1], axis=0)[::-1]
    return found
