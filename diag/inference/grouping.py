"""Which causes of summed bits (see `layout`) the sweep takes in one step. Integers only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Group:
    """Causes of one step, and the bits that they can set."""

    causes: tuple[int, ...]
    bits: int


def groups(masks: Sequence[int], summed: int) -> list[Group]:
    """The causes of two bits or more, those together that can share a step.

    A cause that sets only summed bits goes with another such cause whose bits hold its own: their
    tables multiply, and one pass over the frontier does for all.

    Args:
        masks: for each cause, the bits that it can set.
        summed: mask of the summed bits.
    """
    coupling = (c for c, mask in enumerate(masks) if mask.bit_count() > 1)
    shared: dict[int, list[int]] = {}
    found: list[Group] = []
    for cause in sorted(coupling, key=lambda c: -masks[c].bit_count()):
        mask = masks[cause]
        if mask & ~summed:
            found.append(Group((cause,), mask))
            continue
        home = next((bits for bits in shared if not mask & ~bits), mask)
        shared.setdefault(home, []).append(cause)
    return [*found, *(Group(tuple(causes), bits) for bits, causes in shared.items())]
