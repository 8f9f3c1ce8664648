"""Nested groups of conditions, flattened to the alternatives of which one must hold whole."""

from __future__ import annotations

from itertools import chain, product
from math import prod

from diag.model.rule import Condition, Group

Alternative = tuple[Condition, ...]


def how_many(part: Group | Condition) -> int:
    """The number of alternatives of a group, without making them."""
    if isinstance(part, Condition):
        return 1
    return prod(map(how_many, part.all)) if part.all else sum(map(how_many, part.any))


def alternatives(part: Group | Condition) -> tuple[Alternative, ...]:
    """Every way to satisfy a group: sets of conditions that must hold together."""
    if isinstance(part, Condition):
        return ((part,),)
    if part.any:
        return tuple(chain.from_iterable(map(alternatives, part.any)))
    return tuple(tuple(chain(*way)) for way in product(*map(alternatives, part.all)))
