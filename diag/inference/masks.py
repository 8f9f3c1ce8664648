"""Bits of an integer taken as a set."""

from __future__ import annotations

from collections.abc import Iterator


def each_bit(mask: int) -> Iterator[int]:
    """The numbers of the bits set in a mask, rising."""
    while mask:
        lowest = mask & -mask
        yield lowest.bit_length() - 1
        mask ^= lowest


def positions(mask: int) -> list[int]:
    """The same as a list."""
    return list(each_bit(mask))
