"""How the arrays of two factors go together in their product. Shapes and places only.

Axes that lie side by side and of which the same factors have all make one. An axis of a moved bit
(see `program`) that both factors have stays by itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from string import ascii_lowercase
from typing import NamedTuple

import numpy as np

from diag.inference.values import Indices

ROWS = "R"
"""The axis of rows in the words of einsum; the others are small letters."""

LISTED = 256
"""Pairs of numbers of a product that are listed; a larger one goes axis by axis."""


class Axis(NamedTuple):
    """A bit of a product, or several side by side: which factors have it, whether it is moved."""

    left: bool
    right: bool
    moved: bool
    states: int = 2


class Pairs(NamedTuple):
    """Which numbers of two arrays to multiply, and where the sum of each result begins."""

    one: Indices
    other: Indices
    starts: Indices


@dataclass(frozen=True, slots=True)
class Side:
    """One factor of a product.

    `view` shows its bits in the axes of the product, with 1 where the other factor alone has
    some; `own` is the shape of the axes that it has, and `moved` has the places of the moved ones
    among them. `bare` is the shape of those that are not moved. `sums` says in the words of einsum
    how product and other factor meet, over all axes that are not moved; it is None where nothing
    is summed.
    """

    view: tuple[int, ...]
    own: tuple[int, ...]
    moved: tuple[int, ...]
    bare: tuple[int, ...]
    sums: str | None


@dataclass(frozen=True, slots=True)
class Shapes:
    """A product: its shape and sides, and the axes of the moved bits that both have.

    `pairs` lists the numbers to be multiplied of left and right, of the product and right, and of
    the product and left; it is None if there are too many, or if the product goes number by number.
    """

    left: Side
    right: Side
    shape: tuple[int, ...]
    moved: tuple[int, ...]
    size: int
    pairs: tuple[Pairs, Pairs, Pairs] | None


@lru_cache(maxsize=1 << 12)
def shapes(axes: tuple[Axis, ...]) -> Shapes:
    """Work out how factors with these axes go together; few ways occur, each many times."""
    runs: list[Axis] = []
    for axis in axes:
        one = axis._replace(moved=axis.left and axis.right and axis.moved)
        if runs and runs[-1][:-1] == one[:-1] and not one.moved:
            runs[-1] = one._replace(states=runs[-1].states * one.states)
        else:
            runs.append(one)
    moved = tuple(at for at, run in enumerate(runs) if run.moved)
    shape = tuple(run.states for run in runs)
    size = int(np.prod(shape))
    return Shapes(
        left=_side(runs, [run.left for run in runs], [run.right for run in runs]),
        right=_side(runs, [run.right for run in runs], [run.left for run in runs]),
        shape=shape,
        moved=moved,
        size=size,
        pairs=_pairs(runs) if moved and size << len(moved) <= LISTED else None,
    )


def _side(runs: Sequence[Axis], has: Sequence[bool], other: Sequence[bool]) -> Side:
    own = [at for at in range(len(runs)) if has[at]]
    bare = [at for at in range(len(runs)) if not runs[at].moved]
    whole, others, mine = (
        "".join(ascii_lowercase[at] for at in bare if there[at]) + ROWS
        for there in ([True] * len(runs), other, has)
    )
    return Side(
        view=tuple(run.states if there else 1 for run, there in zip(runs, has, strict=True)),
        own=tuple(runs[at].states for at in own),
        moved=tuple(place for place, at in enumerate(own) if runs[at].moved),
        bare=tuple(runs[at].states for at in bare if has[at]),
        sums=None if all(has) else f"{whole},{others}->{mine}",
    )


def _pairs(runs: Sequence[Axis]) -> tuple[Pairs, Pairs, Pairs]:
    left, right, whole = np.array(list(_places(runs)), dtype=np.intp).T
    return _sorted(whole, left, right), _sorted(left, whole, right), _sorted(right, whole, left)


def _places(runs: Sequence[Axis]) -> Iterator[tuple[int, int, int]]:
    """Places in left, right and product of all numbers that go together."""
    ways = [
        [(0, 0, 0), (1, 0, 1), (0, 1, 1), (1, 1, 1)]
        if run.moved
        else [(at if run.left else 0, at if run.right else 0, at) for at in range(run.states)]
        for run in runs
    ]
    for way in product(*ways):
        left = right = whole = 0
        for run, (in_left, in_right, in_whole) in zip(runs, way, strict=True):
            left = left * (run.states if run.left else 1) + in_left
            right = right * (run.states if run.right else 1) + in_right
            whole = whole * run.states + in_whole
        yield left, right, whole


def _sorted(into: Indices, one: Indices, other: Indices) -> Pairs:
    order = np.argsort(into, kind="stable")
    return Pairs(one[order], other[order], np.flatnonzero(np.diff(into[order], prepend=-1)))
