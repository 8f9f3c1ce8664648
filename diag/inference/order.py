"""Which bits hang together, and the order of causes that keeps few bits open. Integers only.

A cause is given as a mask: bit b of the integer is set if the cause can set evidence bit b. What is
called a cause here can be a step of the sweep that takes several causes together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

NARROW = 6
"""Up to this width a sweep costs the same whatever its order, so no better one is looked for."""

TRIES = 90
"""Orders that the longest search prices; some 30 ms at 100 causes of 25 bits."""

TRY = 400
"""What it takes to try one order, for each cause in it, in the unit of `_price`: the search for an
order must not take longer than the sweep that it shortens."""


@dataclass(frozen=True, slots=True)
class Component:
    """Bits coupled through causes, and the order in which those are swept.

    `steps` are positions in the masks that were given; `width` is the greatest number of bits
    open at once, known before anything is computed.
    """

    steps: tuple[int, ...]
    bits: int
    width: int


def components(masks: Sequence[int]) -> list[Component]:
    """Components of the causes that couple two bits or more, each in a good sweep order."""
    groups: list[tuple[int, list[int]]] = []
    for cause, mask in enumerate(masks):
        if mask.bit_count() < 2:
            continue
        apart = []
        joined, members = mask, [cause]
        for bits, causes in groups:
            if bits & mask:
                joined |= bits
                members = causes + members
            else:
                apart.append((bits, causes))
        groups = [*apart, (joined, members)]
    return [_ordered(masks, bits, sorted(causes)) for bits, causes in groups]


def positions(mask: int) -> list[int]:
    """The numbers of the bits set in a mask, rising."""
    found = []
    while mask:
        lowest = mask & -mask
        found.append(lowest.bit_length() - 1)
        mask ^= lowest
    return found


@dataclass(frozen=True, slots=True)
class _Coupling:
    """Which causes reach which bits of a component.

    `masks` are those of all causes; `spots` has the bits of each cause of this component,
    `touching` the causes of each bit, rising, `reach` all bits that these can set.
    """

    masks: Sequence[int]
    spots: dict[int, list[int]]
    touching: dict[int, list[int]]
    reach: dict[int, int]


def _coupling(masks: Sequence[int], bits: int, causes: Sequence[int]) -> _Coupling:
    spots = {cause: positions(masks[cause]) for cause in causes}
    touching: dict[int, list[int]] = {bit: [] for bit in positions(bits)}
    reach = dict.fromkeys(touching, 0)
    for cause in causes:
        for bit in spots[cause]:
            touching[bit].append(cause)
            reach[bit] |= masks[cause]
    return _Coupling(masks, spots, touching, reach)


def _ordered(masks: Sequence[int], bits: int, causes: list[int]) -> Component:
    """The cheapest order that a search finds which is as long as it is worth.

    First one bit after the other is tried as the first to be completed, those with fewest
    neighbours first; then single bits of the best order are moved to other places for as long as
    that helps.
    """
    coupling = _coupling(masks, bits, causes)
    reach, touching = coupling.reach, coupling.touching
    starts = sorted(touching, key=lambda bit: (reach[bit].bit_count(), len(touching[bit])))
    best: tuple[int, int, list[int]] | None = None
    tried = 0
    for tried, start in enumerate(starts[: TRIES // 3], start=1):
        order = _greedy(coupling, [start])
        width, cost = _price(coupling, order)
        if best is None or cost < best[0]:
            best = (cost, width, order)
        if _is_enough(tried, best, causes):
            break
    assert best is not None  # a component has at least two bits to start from
    if not _is_enough(tried, best, causes):
        best = _improved(coupling, best, tried)
    return Component(steps=tuple(best[2]), bits=bits, width=best[1])


def _is_enough(tried: int, best: tuple[int, int, list[int]], causes: Sequence[int]) -> bool:
    """Whether more tries would take longer than the sweep in the best (cost, width, order)."""
    cost, width, _ = best
    return width <= NARROW or tried >= TRIES or tried * TRY * len(causes) >= cost


def _improved(
    coupling: _Coupling, best: tuple[int, int, list[int]], tried: int
) -> tuple[int, int, list[int]]:
    """The same or a cheaper (cost, width, order): bits are completed earlier, one at a time."""
    is_better = True
    while is_better and not _is_enough(tried, best, best[2]):
        is_better = False
        bits = _completed(coupling, best[2])
        for at in range(1, len(bits)):
            for to in {0, at // 2, at - 1}:
                moved = [*bits[:to], bits[at], *bits[to:at], *bits[at + 1 :]]
                order = _greedy(coupling, moved)
                width, cost = _price(coupling, order)
                tried += 1
                if cost < best[0]:
                    best, is_better = (cost, width, order), True
            if is_better or _is_enough(tried, best, best[2]):
                break
    return best


def _completed(coupling: _Coupling, order: Sequence[int]) -> list[int]:
    """The bits in the order in which their last cause is swept."""
    last = {bit: at for at, cause in enumerate(order) for bit in coupling.spots[cause]}
    return sorted(coupling.touching, key=lambda bit: last[bit])


def _greedy(coupling: _Coupling, first: Sequence[int]) -> list[int]:
    """Complete one bit at a time: the `first`, then those whose causes left bring fewest new bits.

    Of a bit's causes, too, those come first that bring the fewest new bits.
    """
    masks, reach = coupling.masks, coupling.reach
    left = {bit: len(causes) for bit, causes in coupling.touching.items()}
    opened = 0
    order: list[int] = []
    swept: set[int] = set()
    given = iter(first)
    while left:
        bit = next(given, None)
        if bit is None:
            # What was swept brings no new bit, so that all causes of a bit tell of those left.
            bit = min(left, key=lambda b: ((reach[b] & ~opened).bit_count(), left[b]))
        waiting = [cause for cause in coupling.touching[bit] if cause not in swept]
        while waiting:
            following = [cause for cause in waiting if not masks[cause] & ~opened]
            if not following:
                following = [min(waiting, key=lambda c: (masks[c] & ~opened).bit_count())]
                opened |= masks[following[0]]
            order += following
            swept.update(following)
            waiting = [cause for cause in waiting if cause not in swept]
            for cause in following:
                for other in coupling.spots[cause]:
                    left[other] -= 1
        del left[bit]
    return order


def _price(coupling: _Coupling, order: list[int]) -> tuple[int, int]:
    """Greatest number of bits open at once, and the sum of states times links over the sweep."""
    remaining = {bit: len(causes) for bit, causes in coupling.touching.items()}
    opened = 0
    width = cost = 0
    for cause in order:
        opened |= coupling.masks[cause]
        live = opened.bit_count()
        width = max(width, live)
        cost += len(coupling.spots[cause]) << live
        for bit in coupling.spots[cause]:
            remaining[bit] -= 1
            if not remaining[bit]:
                opened &= ~(1 << bit)
    return width, cost
