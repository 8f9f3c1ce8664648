"""The frontier sweep: forward for the mass, backward for every marginal. Arrays and axes only.

The frontier holds, for every subset of the open bits, the mass in which exactly those bits have
been set so far. A cause is swept by one pass over its modes; a bit is closed against its pair of
likelihoods when its last cause is through. Only sums and products of non-negative numbers occur,
so the relative error stays near the rounding of one operation times their number, however small
the priors. (Method: variable elimination with the causal-independence chain of Heckerman 1993,
taken for all bits at once.)

Rows are independent problems of one structure, on the last axis of every array.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, sqrt
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from diag.inference.order import Component, positions

Array: TypeAlias = NDArray[np.float64]
ModeLinks: TypeAlias = tuple[tuple[int, int], ...]
"""Triggers of one mode: (slot of its probability, mask of the bits that it sets together)."""

TAPE = 1 << 23
"""Numbers kept for the way back (64 MB); a longer sweep keeps check points and runs again."""

RESCALE_EVERY = 8
"""Closings between two rescalings of the frontier, which keep it from underflow."""


@dataclass(frozen=True, slots=True)
class Link:
    """One trigger placed on the frontier: its slot, and where its bits lie among the open ones.

    `axes` is empty for a single bit, which lies between `outer` and `inner` states.
    """

    slot: int
    outer: int
    inner: int
    axes: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Step:
    """Open these bits (each becomes the outermost), sweep one cause, close those bits.

    A mode is (its number, its links); a closing is (bit, outer, inner); `width` counts the open
    bits while the cause is swept.
    """

    opens: tuple[int, ...]
    modes: tuple[tuple[int, tuple[Link, ...]], ...]
    closes: tuple[tuple[int, int, int], ...]
    width: int
    rescale: bool


@dataclass(frozen=True, slots=True)
class Values:
    """Numbers of a sweep.

    Shapes: `weights` (modes, rows), `fires` (slots, rows), `pairs` and `openings` (bits, 2, rows).
    An opening is the mass with which a bit starts unset and set.
    """

    weights: Array
    fires: Array
    pairs: Array
    openings: Array


def program(
    component: Component, causes: Sequence[tuple[tuple[int, ModeLinks], ...]]
) -> tuple[Step, ...]:
    """Lay out a component's sweep; `causes` gives each cause's modes as (number, triggers)."""
    reach = [_reach(causes[cause]) for cause in component.causes]
    later = 0
    closing = []
    for mask in reversed(reach):
        closing.append(mask & ~later)
        later |= mask
    closing.reverse()
    live: list[int] = []
    closed = 0
    steps = []
    for cause, mask, ends in zip(component.causes, reach, closing, strict=True):
        opens = tuple(bit for bit in positions(mask) if bit not in live)
        live = [*reversed(opens), *live]
        modes = tuple(
            (mode, tuple(_link(slot, bits, live) for slot, bits in triggers))
            for mode, triggers in causes[cause]
        )
        width = len(live)
        closes = tuple(_close(bit, live) for bit in positions(ends))
        rescale = closed // RESCALE_EVERY != (closed + len(closes)) // RESCALE_EVERY
        closed += len(closes)
        steps.append(Step(opens, modes, closes, width, rescale))
    return tuple(steps)


def run(steps: tuple[Step, ...], values: Values, joint: Array, open_mass: Array) -> Array:
    """Natural logarithm of the mass of each row, shape (rows,); minus infinity if there is none.

    Fills `joint` (modes, rows) with each swept mode's mass and `open_mass` (bits, 2, rows) with
    what follows a bit that opened unset or set. Both are right up to a factor per cause or bit
    and row, so only their ratios within one cause or bit mean anything.
    """
    rows = values.weights.shape[1]
    tape = sum(rows << step.width + 1 for step in steps)  # a frontier and those at its openings
    length = len(steps) if tape <= TAPE else ceil(sqrt(len(steps)))
    segments = [steps[at : at + length] for at in range(0, len(steps), length)]
    frontier = np.ones((1, rows))
    log_mass = np.zeros(rows)
    starts = []
    states: list[list[Array]] = []
    for segment in segments:
        starts.append(frontier)
        states, frontier = _record(segment, frontier, values, log_mass)
    back = np.ones((1, rows))
    for number, segment in reversed([*enumerate(segments)]):
        if number < len(segments) - 1:
            states, _ = _record(segment, starts[number], values, np.zeros(rows))
        for step in reversed(segment):
            back = _backward(step, states.pop(), back, values, (joint, open_mass))
    with np.errstate(divide="ignore"):
        log_mass += np.log(frontier[0])
    return log_mass


def _record(
    segment: tuple[Step, ...], frontier: Array, values: Values, log_mass: Array
) -> tuple[list[list[Array]], Array]:
    """The frontiers before and after each opening of each step, and that after the last step."""
    states = []
    for step in segment:
        states.append(_opened(step, frontier, values))
        frontier = _forward(step, states[-1][-1], values, log_mass)
    return states, frontier


def _reach(modes: tuple[tuple[int, ModeLinks], ...]) -> int:
    mask = 0
    for _, triggers in modes:
        for _, bits in triggers:
            mask |= bits
    return mask


def _link(slot: int, bits: int, live: list[int]) -> Link:
    axes = tuple(live.index(bit) for bit in positions(bits))
    if len(axes) == 1:
        return Link(slot, 1 << axes[0], 1 << (len(live) - 1 - axes[0]))
    return Link(slot, 1, 1, axes)


def _close(bit: int, live: list[int]) -> tuple[int, int, int]:
    at = live.index(bit)
    del live[at]
    return bit, 1 << at, 1 << (len(live) - at)


def _opened(step: Step, frontier: Array, values: Values) -> list[Array]:
    """The frontier before any opening, and after each."""
    states = [frontier]
    for bit in step.opens:
        grown = values.openings[bit][:, None, :] * states[-1]
        states.append(grown.reshape(-1, grown.shape[-1]))
    return states


def _forward(step: Step, before: Array, values: Values, log_mass: Array) -> Array:
    """The frontier after a step, from that after its openings; adds its scale to `log_mass`."""
    after: Array | None = None
    for mode, links in step.modes:
        part = values.weights[mode] * before
        for link in links:
            _fire(part, link, values.fires[link.slot])
        after = part if after is None else np.add(after, part, out=after)
    assert after is not None  # every cause has a mode
    for bit, outer, inner in step.closes:
        view = after.reshape(outer, 2, inner, -1)
        absent, present = values.pairs[bit]
        after = (absent * view[:, 0] + present * view[:, 1]).reshape(outer * inner, -1)
    if step.rescale:
        scale = after.sum(axis=0)
        scale[scale == 0] = 1
        after /= scale
        log_mass += np.log(scale)
    return after


def _fire(state: Array, link: Link, chance: Array) -> None:
    """Let a trigger fire: move its share of the mass to the states in which its bits are set."""
    if not link.axes:
        view = state.reshape(link.outer, 2, link.inner, -1)
        unset, is_set = view[:, 0], view[:, 1]
        is_set += chance * unset
        unset *= 1 - chance
        return
    view = _axes(state)
    moved = chance * view.sum(axis=link.axes)
    view *= 1 - chance
    view[_all_set(link, view.ndim)] += moved


def _fire_back(state: Array, link: Link, chance: Array) -> None:
    """The transpose of `_fire`."""
    if not link.axes:
        view = state.reshape(link.outer, 2, link.inner, -1)
        unset = view[:, 0]
        unset *= 1 - chance
        unset += chance * view[:, 1]
        return
    view = _axes(state)
    is_set = np.expand_dims(view[_all_set(link, view.ndim)], link.axes) * chance
    view *= 1 - chance
    view += is_set


def _axes(state: Array) -> Array:
    """The same states with one axis for each open bit, rows last."""
    width = state.shape[0].bit_length() - 1
    return state.reshape((2,) * width + (state.shape[1],))


def _all_set(link: Link, ndim: int) -> tuple[slice | int, ...]:
    return tuple(1 if axis in link.axes else slice(None) for axis in range(ndim))


def _backward(
    step: Step, states: list[Array], back: Array, values: Values, into: tuple[Array, Array]
) -> Array:
    """What follows each state before the step, given what follows each state after it."""
    joint, open_mass = into
    for bit, outer, inner in reversed(step.closes):
        spread = values.pairs[bit][:, None, :] * back.reshape(outer, 1, inner, -1)
        back = spread.reshape(2 * outer * inner, -1)
    total: Array | None = None
    for mode, links in step.modes:
        part = back.copy()
        for link in reversed(links):
            _fire_back(part, link, values.fires[link.slot])
        part *= values.weights[mode]
        joint[mode] = np.einsum("sr,sr->r", part, states[-1])
        total = part if total is None else np.add(total, part, out=total)
    assert total is not None  # every cause has a mode
    back = total
    for bit, before in zip(reversed(step.opens), reversed(states[:-1]), strict=True):
        view = back.reshape(2, before.shape[0], -1)
        open_mass[bit] = np.einsum("bsr,sr->br", view, before)
        back = np.einsum("br,bsr->sr", values.openings[bit], view)
    if step.rescale:
        scale = back.max(axis=0)
        scale[scale == 0] = 1
        back = back / scale
    return back
