"""The plan of a sweep: which bits are open while causes are swept, and where. Integers only.

A bit whose evidence speaks against it (L0 >= L1) is `summed`: where other bits hold apart the mass
of not set and of set, it holds that of not set and of both. A trigger of summed bits then only
scales the mass of not set by its silence, so that all that a cause does to summed bits is a small
table by which the frontier is multiplied. Its likelihoods become L0 - L1 and L1, neither of them
negative, so that nothing is lost to subtraction.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from diag.inference.order import positions

Indices: TypeAlias = NDArray[np.intp]

ModeLinks: TypeAlias = tuple[tuple[int, int], ...]
"""Triggers of one mode: (slot of its probability, mask of the bits that it sets together)."""

Cause: TypeAlias = tuple[tuple[int, ModeLinks], ...]
"""A cause's modes as (number, triggers)."""

Place: TypeAlias = tuple[slice | int, ...]
"""An index of the first axes of an array."""

RESCALE_EVERY = 8
"""Closings between two rescalings of the frontier, which keep it from underflow."""


@dataclass(frozen=True, slots=True)
class Link:
    """A trigger that moves mass: its slot, and where its bits lie among the open ones.

    A single bit lies between `outer` and `inner` states. For several, `axes` are those of the bits
    that are not summed, `held` selects the states in which all summed ones are set, and `all_set`
    those in which all are, both in the frontier with one axis for each open bit.
    """

    slot: int
    outer: int = 1
    inner: int = 1
    axes: tuple[int, ...] = ()
    held: Place = ()
    all_set: Place = ()


@dataclass(frozen=True, slots=True, eq=False)
class Tables:
    """What the modes of a step do to its summed bits: one table for each mode.

    Attributes:
        bits: how many bits a table tells apart.
        view: the shape of the frontier that shows these bits apart from the rest.
        broad: the shape of a table to go with it.
        modes: the numbers of the modes, shape (modes,).
        first: where each cause begins among them, shape (causes,).
        owner: the cause of each of them, shape (modes,).
        slots: the trigger of each mode for each bit alone, shape (bits, modes); -1 for none.
        together: triggers of several bits as (which mode, slot, entries in which all are set).
    """

    bits: int
    view: tuple[int, ...]
    broad: tuple[int, ...]
    modes: Indices
    first: Indices
    owner: Indices
    slots: Indices
    together: tuple[tuple[int, int, Place], ...]

    @property
    def size(self) -> int:
        """Numbers in all tables of a row."""
        return len(self.modes) << self.bits


@dataclass(frozen=True, slots=True)
class Step:
    """Open these bits (each becomes the outermost), sweep causes, close those bits.

    `links` has each mode's triggers that move mass; it is empty where no mode has any, which alone
    can be a step of several causes. A closing is (bit, outer, inner); `width` counts the open bits
    while the causes are swept.
    """

    opens: tuple[int, ...]
    tables: Tables
    links: tuple[tuple[Link, ...], ...]
    closes: tuple[tuple[int, int, int], ...]
    width: int
    rescale: bool

    @property
    def size(self) -> int:
        """Numbers that a row leaves on the way forward: frontiers at openings, and tables."""
        return (2 << self.width) + self.tables.size

    @property
    def slots(self) -> list[int]:
        """The slots of all triggers."""
        found: list[int] = self.tables.slots[self.tables.slots >= 0].tolist()
        found += [slot for _, slot, _ in self.tables.together]
        return found + [link.slot for links in self.links for link in links]


def program(
    steps: Sequence[Sequence[Cause]], reach: Sequence[int], summed: int
) -> tuple[Step, ...]:
    """Lay out the sweep of a component.

    Args:
        steps: the causes of each step, in order.
        reach: mask of the bits that the causes of each step can set.
        summed: mask of the bits whose evidence speaks against them.
    """
    later = 0
    closing = []
    for mask in reversed(reach):
        closing.append(mask & ~later)
        later |= mask
    closing.reverse()
    live: list[int] = []
    closed = 0
    frames, scalings = [], []
    for causes, mask, ends in zip(steps, reach, closing, strict=True):
        opens = tuple(bit for bit in positions(mask) if bit not in live)
        live = [*reversed(opens), *live]
        axes = {bit: at for at, bit in enumerate(live)}
        scalings.append(_scaling(causes, axes, summed))
        links, width = _links(causes, axes, summed), len(live)
        closes = tuple(_close(bit, live) for bit in positions(ends))
        rescale = closed // RESCALE_EVERY != (closed + len(closes)) // RESCALE_EVERY
        closed += len(closes)
        frames.append((opens, links, closes, width, rescale))
    return tuple(
        Step(opens, tables, links, closes, width, rescale)
        for (opens, links, closes, width, rescale), tables in zip(
            frames, _tables(scalings), strict=True
        )
    )


def _union(masks: Iterable[int]) -> int:
    union = 0
    for mask in masks:
        union |= mask
    return union


class _Scaling(NamedTuple):
    """Tables as plain numbers; `slots` goes by bit and then by mode."""

    modes: list[int]
    counts: tuple[int, ...]
    bits: int
    shapes: tuple[tuple[int, ...], tuple[int, ...]]
    slots: list[int]
    together: tuple[tuple[int, int, Place], ...]


def _scaling(causes: Sequence[Cause], axes: dict[int, int], summed: int) -> _Scaling:
    """What the triggers of these causes that reach summed bits only come to."""
    modes = [mode for cause in causes for mode in cause]
    scaling = [[link for link in links if not link[1] & ~summed] for _, links in modes]
    union = _union(bits for here in scaling for _, bits in here)
    over = sorted([axes[bit] for bit in positions(union)])
    entries = {bit: over.index(axes[bit]) for bit in positions(union)}
    slots = [-1] * (len(over) * len(modes))
    several: list[tuple[int, int, Place]] = []
    for at, here in enumerate(scaling):
        for slot, bits in here:
            if bits & (bits - 1):
                all_set = _select([entries[bit] for bit in positions(bits)], len(over))
                several.append((at, slot, all_set))
            else:
                slots[entries[bits.bit_length() - 1] * len(modes) + at] = slot
    numbers = [number for number, _ in modes]
    counts = tuple(map(len, causes))
    return _Scaling(numbers, counts, len(over), _shapes(over, len(axes)), slots, tuple(several))


def _tables(scalings: Sequence[_Scaling]) -> Iterator[Tables]:
    """The tables of each step, out of one array for all: many small ones take long to make."""
    modes = np.array([n for scaling in scalings for n in scaling.modes], dtype=np.intp)
    slots = np.array([s for scaling in scalings for s in scaling.slots], dtype=np.intp)
    owners: dict[tuple[int, ...], tuple[Indices, Indices]] = {}
    mode = slot = 0
    for numbers, counts, bits, (view, broad), places, together in scalings:
        if counts not in owners:
            first = np.cumsum([0, *counts[:-1]], dtype=np.intp)
            owners[counts] = first, np.repeat(np.arange(len(counts)), counts)
        yield Tables(
            bits=bits,
            view=view,
            broad=broad,
            modes=modes[mode : mode + len(numbers)],
            first=owners[counts][0],
            owner=owners[counts][1],
            slots=slots[slot : slot + len(places)].reshape(bits, len(numbers)),
            together=together,
        )
        mode += len(numbers)
        slot += len(places)


def _links(
    causes: Sequence[Cause], axes: dict[int, int], summed: int
) -> tuple[tuple[Link, ...], ...]:
    found = tuple(
        tuple(_link(slot, bits, axes, summed) for slot, bits in links if bits & ~summed)
        for cause in causes
        for _, links in cause
    )
    return found if any(found) else ()


def _link(slot: int, bits: int, axes: dict[int, int], summed: int) -> Link:
    if not bits & (bits - 1):
        axis = axes[bits.bit_length() - 1]
        return Link(slot, 1 << axis, 1 << (len(axes) - 1 - axis))
    moved = [axes[bit] for bit in positions(bits & ~summed)]
    held = [axes[bit] for bit in positions(bits & summed)]
    return Link(
        slot,
        axes=tuple(moved),
        held=tuple(slice(1, 2) if axis in held else slice(None) for axis in range(len(axes))),
        all_set=_select([*moved, *held], len(axes)),
    )


def _select(axes: Sequence[int], width: int) -> Place:
    """The states in which these bits are set."""
    return tuple(1 if axis in axes else slice(None) for axis in range(width))


def _shapes(over: Sequence[int], width: int) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """The shape of a frontier with these rising axes apart from the others, and that of a table."""
    view: list[int] = []
    broad: list[int] = []
    done = at = 0
    while at < len(over):
        if over[at] > done:
            view.append(1 << (over[at] - done))
            broad.append(1)
        start = at
        while at + 1 < len(over) and over[at + 1] == over[at] + 1:
            at += 1
        at += 1
        view.append(1 << (at - start))
        broad.append(1 << (at - start))
        done = over[at - 1] + 1
    if done < width:
        view.append(1 << (width - done))
        broad.append(1)
    return tuple(view), tuple(broad)


def _close(bit: int, live: list[int]) -> tuple[int, int, int]:
    at = live.index(bit)
    del live[at]
    return bit, 1 << at, 1 << (len(live) - at)
