"""Checks that share an opening: what several looks behind one cover are worth together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diag.model.book import Book
from diag.planning.access import Access

LEAST_MINUTES = 0.5
"""Nobody looks, answers and puts the torch down in less."""


@dataclass(frozen=True, slots=True)
class Rate:
    """Nats a minute of a check, and the checks with which it shares the opening (itself too)."""

    nats_a_minute: float
    together: tuple[str, ...]


def rates(book: Book, ways: Mapping[str, Access], nats: Mapping[str, float]) -> dict[str, Rate]:
    """The best rate of each check: alone, or as one of a block of checks behind the same covers.

    For each closed layer, the checks at it and at the layers on the way are taken in falling order
    of nats a minute for as long as that raises the rate of the whole, opening and closing counted
    once (best-ratio blocks; Kadane and Simon 1977, Ottosen and Jensen 2010). The nats of a block
    are added up as if its checks told of different things, so that a rate is on the high side.

    Args:
        book: the book.
        ways: what it costs to get at each layer now.
        nats: what each check would tell.
    """
    own = {c: max(float(book.checks[c].minutes), LEAST_MINUTES) for c in nats}
    found = {
        c: Rate(told / (own[c] + ways[book.checks[c].at].minutes), (c,)) for c, told in nats.items()
    }
    for layer, way in ways.items():
        block = _block(book, layer, way, nats, own)
        for check in block.together:
            if block.nats_a_minute > found[check].nats_a_minute:
                found[check] = block
    return found


def _block(
    book: Book, layer: str, way: Access, nats: Mapping[str, float], own: Mapping[str, float]
) -> Rate:
    """The best block behind one layer; empty if the layer is open or has no check of its own."""
    behind = [c for c in nats if book.checks[c].at in way.opens]
    if not any(book.checks[c].at == layer for c in behind):
        return Rate(0.0, ())
    behind.sort(key=lambda c: (-nats[c] / own[c], c))
    told, minutes, taken = 0.0, way.minutes, 0
    for check in behind:
        if taken and nats[check] / own[check] <= told / minutes:
            break
        told, minutes, taken = told + nats[check], minutes + own[check], taken + 1
    return Rate(told / minutes, tuple(behind[:taken]))
