"""The product of two factors, and the way back from it to each of them."""

from __future__ import annotations

import numpy as np

from diag.inference.shapes import Pairs, Shapes, Side
from diag.inference.values import Array

SMALL = 2048
"""Numbers to be multiplied of a product that is made from a list."""


def joined(shapes: Shapes, left: Array, right: Array) -> Array:
    """The product of two factors, each of the shape (states, rows)."""
    rows = left.shape[-1]
    if pairs := _listed(shapes, rows):
        return _paired(pairs[0], left, right)
    found = np.empty((*shapes.shape, rows))
    one, other = left.reshape(*shapes.left.view, rows), right.reshape(*shapes.right.view, rows)
    _multiply(one, other, shapes.moved, found)
    return found.reshape(-1, rows)


def parted(shapes: Shapes, after: Array, left: Array, right: Array) -> tuple[Array, Array]:
    """What follows each state of either factor, from what follows each state of their product."""
    rows = after.shape[-1]
    if pairs := _listed(shapes, rows):
        return _paired(pairs[1], after, right), _paired(pairs[2], after, left)
    whole = after.reshape(*shapes.shape, rows)
    return (
        _met(shapes, (shapes.left, shapes.right), whole, right),
        _met(shapes, (shapes.right, shapes.left), whole, left),
    )


def _listed(shapes: Shapes, rows: int) -> tuple[Pairs, Pairs, Pairs] | None:
    """The pairs of a product so small that calls take longer than its numbers."""
    return shapes.pairs if shapes.pairs and len(shapes.pairs[0].one) * rows <= SMALL else None


def _paired(pairs: Pairs, one: Array, other: Array) -> Array:
    found: Array = np.add.reduceat(one[pairs.one] * other[pairs.other], pairs.starts, axis=0)
    return found


def _multiply(left: Array, right: Array, moved: tuple[int, ...], into: Array) -> None:
    """Number by number, but that on the `moved` axes set is what either sets."""
    if not moved:
        np.multiply(left, right, out=into)
        return
    *outer, axis = moved
    rest = tuple(outer)
    (left_0, left_1), (right_0, right_1) = _halves(left, axis), _halves(right, axis)
    unset, is_set = _halves(into, axis)
    _multiply(left_0, right_1, rest, is_set)
    more = np.empty_like(is_set)
    _multiply(left_1, right_0 + right_1, rest, more)
    is_set += more
    _multiply(left_0, right_0, rest, unset)


def _halves(view: Array, axis: int) -> tuple[Array, Array]:
    before: tuple[slice | int, ...] = (slice(None),) * axis
    return view[(*before, 0)], view[(*before, 1)]


def _met(shapes: Shapes, sides: tuple[Side, Side], whole: Array, factor: Array) -> Array:
    """What follows each state of the first side: `whole` meets the factor of the other."""
    rows = whole.shape[-1]
    found = np.empty((*sides[0].own, rows))
    _meet(sides, whole, factor.reshape(*sides[1].view, rows), shapes.moved, found)
    return found.reshape(-1, rows)


def _meet(
    sides: tuple[Side, Side],
    whole: Array,
    factor: Array,
    moved: tuple[int, ...],
    into: Array,
) -> None:
    """The transpose of `_multiply`; it sums over the axes that only the second side has."""
    side, other = sides
    if not moved:
        if side.sums is None:
            np.multiply(whole, factor, out=into)
        else:
            np.einsum(side.sums, whole, factor.reshape(*other.bare, factor.shape[-1]), out=into)
        return
    *outer, axis = moved
    rest = tuple(outer)
    (whole_0, whole_1), (factor_0, factor_1) = _halves(whole, axis), _halves(factor, axis)
    unset, is_set = _halves(into, side.moved[len(rest)])
    _meet(sides, whole_1, factor_0 + factor_1, rest, is_set)
    _meet(sides, whole_0, factor_0, rest, unset)
    more = np.empty_like(unset)
    _meet(sides, whole_1, factor_1, rest, more)
    unset += more
