"""The plan of an elimination turned into steps on arrays. Integers only."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple, TypeAlias

import numpy as np

from diag.inference.elimination import Act, Closing, Component, Firing, Product
from diag.inference.factors import Factor
from diag.inference.masks import positions
from diag.inference.program import Close, Fire, Join, Program, Step, Tables, Trigger
from diag.inference.shapes import Axis, shapes

ModeLinks: TypeAlias = tuple[tuple[int, int], ...]
"""Triggers of one mode: (slot of its probability, mask of the bits that it sets together)."""

RESCALE_EVERY = 4
"""Closings between two rescalings at most; no two products are multiplied without one."""

Cause: TypeAlias = tuple[tuple[int, ModeLinks], ...]
"""A cause's modes as (number, triggers)."""


def program(
    component: Component, factors: Sequence[Factor], causes: Mapping[int, Cause], summed: int
) -> Program:
    """Lay out the elimination of a component.

    Args:
        component: how it is eliminated; its factors are positions in `factors`.
        factors: those of the whole problem.
        causes: the modes of each cause of the component.
        summed: mask of the summed bits.
    """
    closings = [act.bit for act in component.acts if isinstance(act, Closing)]
    order = _Order({bit: at for at, bit in enumerate(closings)}, summed)
    here = [factors[at] for at in component.factors]
    own = [order.ranked(positions(factor.bits)) for factor in here]
    tables = _tables(here, own, causes, order)
    links = [link for f in here for c in f.causes for _, links in causes[c] for link in links]
    return Program(
        tables=tables,
        first_made=len(here),
        steps=_steps(component, here, own, causes, order),
        modes=np.array([m for f in here for c in f.causes for m, _ in causes[c]], dtype=np.intp),
        slots=np.array([slot for slot, _ in links], dtype=np.intp),
        bits=np.array(closings, dtype=np.intp),
        moved=np.array([bit for bit in closings if order.is_moved(bit)], dtype=np.intp),
    )


class _Order(NamedTuple):
    """When each bit is closed, and which are summed."""

    rank: Mapping[int, int]
    summed: int

    def ranked(self, bits: Iterable[int]) -> list[int]:
        """Bits in the order of the axes."""
        return sorted(bits, key=self.rank.__getitem__)

    def is_moved(self, bit: int) -> bool:
        """Whether a bit is not summed."""
        return not self.summed >> bit & 1


class _Shape(NamedTuple):
    """What factors have in common whose tables are made together."""

    causes: int
    modes: int
    moved: tuple[bool, ...]


def _tables(
    factors: Sequence[Factor],
    own: Sequence[Sequence[int]],
    causes: Mapping[int, Cause],
    order: _Order,
) -> tuple[Tables, ...]:
    """The tables of all factors, those of one shape together: many small ones take long to make."""
    by_shape: dict[_Shape, list[int]] = {}
    for number, (factor, bits) in enumerate(zip(factors, own, strict=True)):
        if factor.is_table:
            moved = tuple(map(order.is_moved, bits))
            shape = _Shape(len(factor.causes), len(causes[factor.causes[0]]), moved)
            by_shape.setdefault(shape, []).append(number)
    return tuple(
        _shaped(shape, numbers, factors, own, causes) for shape, numbers in by_shape.items()
    )


def _shaped(
    shape: _Shape,
    numbers: Sequence[int],
    factors: Sequence[Factor],
    own: Sequence[Sequence[int]],
    causes: Mapping[int, Cause],
) -> Tables:
    modes: list[int] = []
    slots: list[tuple[int, int, int]] = []
    together: list[tuple[int, Trigger]] = []
    for number in numbers:
        axes = {bit: at for at, bit in enumerate(own[number])}
        for cause in factors[number].causes:
            for mode, links in causes[cause]:
                for slot, mask in links:
                    if mask & (mask - 1):
                        together.append((len(modes), _trigger(slot, mask, axes, shape.moved)))
                    else:
                        slots.append((axes[mask.bit_length() - 1], len(modes), slot))
                modes.append(mode)
    alone = np.full((len(shape.moved), len(modes)), -1, dtype=np.intp)
    if slots:
        at_axis, at_mode, slot_there = np.array(slots, dtype=np.intp).T
        alone[at_axis, at_mode] = slot_there
        assert (alone >= 0).sum() == len(slots)  # no two triggers of a mode have the same bits
    at_modes = np.array(modes, dtype=np.intp)
    return Tables(tuple(numbers), shape.causes, shape.moved, at_modes, alone, tuple(together))


def _trigger(slot: int, mask: int, axes: Mapping[int, int], moved: Sequence[bool]) -> Trigger:
    several = [axes[bit] for bit in positions(mask)]
    every = range(len(moved))
    return Trigger(
        slot=slot,
        axes=tuple(at for at in several if moved[at]),
        held=tuple(slice(1, 2) if at in several and not moved[at] else slice(None) for at in every),
        all_set=tuple(slice(1, 2) if at in several else slice(None) for at in every),
        unset=tuple(slice(0, 1) if at in several else slice(None) for at in every)
        if len(several) == 1
        else None,
    )


def _steps(
    component: Component,
    factors: Sequence[Factor],
    own: Sequence[Sequence[int]],
    causes: Mapping[int, Cause],
    order: _Order,
) -> tuple[Step, ...]:
    made: list[Sequence[int]] = list(own)
    steps: list[Step] = []
    large = _multiplied_large(component.acts, len(own))
    closed = [0] * len(own)
    for act in component.acts:
        if isinstance(act, Closing):
            outermost, *rest = made[act.of]
            assert outermost == act.bit  # bits are ranked by when they are closed
            count = closed[act.of] + 1
            rescale = not rest or count >= RESCALE_EVERY or len(made) in large
            steps.append(Close(act.of, act.bit, 1 << len(rest), rescale))
            made.append(rest)
            closed.append(0 if rescale else count)
        elif isinstance(act, Firing):
            before = [] if act.into is None else made[act.into]
            both = order.ranked({*before, *own[act.cause]})
            (cause,) = factors[act.cause].causes
            steps.append(_fire(act.into, before, both, causes[cause], order))
            made.append(both)
            closed.append(0 if act.into is None else closed[act.into])
        else:
            steps.append(_join(act, made[act.left], made[act.right], order))
            made.append(order.ranked({*made[act.left], *made[act.right]}))
            closed.append(closed[act.left] + closed[act.right])
    return tuple(steps)


def _multiplied_large(acts: Sequence[Act], factors: int) -> set[int]:
    """The numbers of products that are multiplied with one another, and not with a table."""
    return {
        side for act in acts if isinstance(act, Product) and min(act) >= factors for side in act
    }


def _join(act: Product, left: Sequence[int], right: Sequence[int], order: _Order) -> Join:
    axes = tuple(
        Axis(bit in left, bit in right, order.is_moved(bit))
        for bit in order.ranked({*left, *right})
    )
    return Join(act.left, act.right, shapes(axes))


def _fire(
    of: int | None, before: Sequence[int], both: Sequence[int], cause: Cause, order: _Order
) -> Fire:
    axes = {bit: at for at, bit in enumerate(both)}
    moved = [order.is_moved(bit) for bit in both]
    is_new = [bit not in before for bit in both]
    return Fire(
        of=of,
        modes=tuple(
            (mode, tuple(_trigger(slot, mask, axes, moved) for slot, mask in links))
            for mode, links in cause
        ),
        bits=len(both),
        view=tuple(1 if new else 2 for new in is_new),
        opened=tuple(at for at, new in enumerate(is_new) if new),
        unset=tuple(
            slice(0, 1) if new and moved[at] else slice(None) for at, new in enumerate(is_new)
        ),
    )
