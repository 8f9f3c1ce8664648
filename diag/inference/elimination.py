"""Which bits hang together, and the order in which they are eliminated. Integers only.

To eliminate a bit is to multiply the factors that have it, which makes one factor of all their
bits, and to sum the bit out (bucket elimination: Dechter, Artificial Intelligence 113, 1999). The
size of the largest product is known before anything is computed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple, TypeAlias

from diag.inference.masks import each_bit

TRIES = 1200
"""Factors and bits in all orders together that the longest search prices, some 20 ms for a
component of a hundred; two orders it always prices."""

WIDE = 16
"""Past this width a narrower order is taken before a cheaper one: the width is what is limited."""

TRY = 1500
"""What it takes to try one order, for each factor, in numbers of a product: the search must not
take longer than the elimination that it shortens."""

CALL = 50
"""What a call takes that multiplies arrays, in the same unit. With m moved bits it takes 3^m."""

NEXT = 8
"""So many of the smallest factors are looked at for that which is best multiplied next."""


class Product(NamedTuple):
    """Multiply two factors, named by their numbers; the product gets the next free number."""

    left: int
    right: int


class Firing(NamedTuple):
    """Fire a cause into a factor, or into nothing if `into` is None; this gets the next number."""

    into: int | None
    cause: int


class Closing(NamedTuple):
    """Sum a bit out of a factor; what is left gets the next free number."""

    of: int
    bit: int


Act: TypeAlias = Product | Firing | Closing


class Outline(NamedTuple):
    """A factor as far as its elimination depends on it.

    `fired` counts the triggers if they are to be fired one by one; it is 0 for a table.
    """

    bits: int
    fired: int = 0


@dataclass(frozen=True, slots=True)
class Component:
    """Bits coupled through factors, and how they are eliminated.

    `factors` are positions among the factors that were given; in `acts` they have the numbers from
    0 on, and what an act makes the number after the last. `width` is the most bits of a product,
    `cost` how many numbers go into all of them, with what calls take in the same unit.
    """

    factors: tuple[int, ...]
    bits: int
    width: int
    cost: int
    acts: tuple[Act, ...]


def components(factors: Sequence[Outline], moved: int) -> list[Component]:
    """Components of the factors of two bits or more, each with a good elimination.

    `moved` is the mask of the bits that are not summed (see `program`).
    """
    groups: list[tuple[int, list[int]]] = []
    for factor, (mask, _) in enumerate(factors):
        if mask.bit_count() < 2:
            continue
        apart = []
        joined, members = mask, [factor]
        for bits, others in groups:
            if bits & mask:
                joined |= bits
                members = others + members
            else:
                apart.append((bits, others))
        groups = [*apart, (joined, members)]
    return [_eliminated(factors, sorted(members), bits, moved) for bits, members in groups]


class _Found(NamedTuple):
    """An elimination: numbers that it takes, bits of its largest product, its acts."""

    cost: int
    width: int
    acts: list[Act]

    @property
    def rank(self) -> tuple[int, int]:
        """What it is chosen by."""
        return max(self.width, WIDE), self.cost


class _Way(NamedTuple):
    """How to choose what is eliminated: by what it makes or by what it couples anew.

    `first` is the bit to begin with, if any. `in_line` multiplies every product into the next one,
    which is dearer, but no moved bits are shared by large factors then.
    """

    first: int | None = None
    by_fill: bool = False
    in_line: bool = False


def _ways(bits: int) -> Iterator[_Way]:
    yield _Way()
    yield _Way(in_line=True)
    yield _Way(by_fill=True)
    for bit in each_bit(bits):
        yield _Way(bit)
        yield _Way(bit, in_line=True)
        yield _Way(bit, by_fill=True)


def _eliminated(
    factors: Sequence[Outline], members: Sequence[int], bits: int, moved: int
) -> Component:
    """The cheapest elimination that a search finds which is as long as it is worth."""
    here = [factors[factor] for factor in members]
    best: _Found | None = None
    most = max(2, TRIES // (len(here) + bits.bit_count()))
    for tried, way in enumerate(_ways(bits)):
        if best and (tried >= most or tried * TRY * len(here) >= best.cost):
            break
        found = _Elimination(here, moved, way).run()
        if best is None or found.rank < best.rank:
            best = found
    assert best is not None  # there is a first way
    return Component(tuple(members), bits, best.width, best.cost, tuple(best.acts))


class _Elimination:
    """The factors that are left while one bit after the other is eliminated, and the acts so far.

    `live` has the bits of each factor by its number, `holding` the factors of each bit, and
    `around` all bits of these. What was made `last` has that number, what is made next `number`.
    """

    def __init__(self, factors: Sequence[Outline], moved: int, way: _Way) -> None:
        self.moved, self.way = moved, way
        self.live = {number: factor.bits for number, factor in enumerate(factors)}
        self.fired = {number: f.fired for number, f in enumerate(factors) if f.fired}
        self.around: dict[int, int] = {}
        self.holding: dict[int, set[int]] = {}
        for number, mask in self.live.items():
            for bit in each_bit(mask):
                self.around[bit] = self.around.get(bit, 0) | mask
                self.holding.setdefault(bit, set()).add(number)
        self.acts: list[Act] = []
        self.last, self.number = -1, len(factors)
        self.cost = self.width = 0

    def run(self) -> _Found:
        """Eliminate all bits."""
        line = 0
        while self.around:
            first = self.way.first
            bit = first if first in self.around else self._next(line)
            line = self._close(self._multiplied(bit, line))
        return _Found(self.cost, self.width, self.acts)

    def _next(self, line: int) -> int:
        around = self.around
        if self.way.by_fill:
            return min(around, key=lambda bit: (_fill(around, bit), around[bit].bit_count()))
        if self.way.in_line:
            return min(around, key=lambda bit: (around[bit] | line).bit_count())
        return min(around, key=lambda bit: around[bit].bit_count())

    def _multiplied(self, bit: int, line: int) -> int:
        """Multiply all factors of a bit, tables first; the bits of their product."""
        live, fired = self.live, self.fired
        used = set(self.holding[bit])
        if self.way.in_line and line:
            used.add(self.last)
            mask = line
        else:
            self.last = min(used, key=lambda f: (f in fired, live[f].bit_count(), f))
            mask = 0 if self.last in fired else live[self.last]
        waiting = used - {self.last} if mask else used
        ordered = sorted(waiting, key=lambda f: (f in fired, live[f].bit_count(), f))
        while ordered:
            best = min(ordered[:NEXT], key=lambda f: (f in fired, (mask | live[f]).bit_count()))
            ordered.remove(best)
            mask = self._multiply(mask, best)
        for factor in used:
            for held in each_bit(live.pop(factor)):
                self.holding[held].discard(factor)
        self.width = max(self.width, mask.bit_count())
        return mask

    def _multiply(self, mask: int, other: int) -> int:
        """Multiply the last product, which has the bits of the mask, with another factor."""
        both = mask | self.live[other]
        if triggers := self.fired.get(other):
            self._act(Firing(self.last if mask else None, other))
            self.cost += (triggers + 2) * ((1 << both.bit_count()) + CALL)
        else:
            self._act(Product(self.last, other))
            shared = (mask & self.live[other] & self.moved).bit_count()
            self.cost += 3**shared * ((1 << both.bit_count() - shared) + CALL)
        return both

    def _close(self, mask: int) -> int:
        """Close the bits of the last product that no other factor has; the mask of the others."""
        for bit in [bit for bit in each_bit(mask) if not self.holding[bit]]:
            self.cost += 1 << mask.bit_count()
            mask &= ~(1 << bit)
            self._act(Closing(self.last, bit))
            for near in each_bit(self.around.pop(bit) & ~(1 << bit)):
                self.around[near] &= ~(1 << bit)
        for near in each_bit(mask):
            self.around[near] |= mask
            self.holding[near].add(self.last)
        self.live[self.last] = mask
        return mask

    def _act(self, act: Act) -> None:
        self.acts.append(act)
        self.last, self.number = self.number, self.number + 1


def _fill(around: Mapping[int, int], bit: int) -> int:
    """How many pairs of bits would be coupled anew."""
    near = around[bit]
    return sum((near & ~around[other]).bit_count() for other in each_bit(near))
