"""Which causes make one factor of the elimination. Integers only.

Bit b of a mask stands for evidence bit b.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

MOVED = 2
"""Bits that are not summed (see `program`) in a table at most: each makes a product half as dear
again, so that firing single triggers is cheaper for more."""

BROAD = 7
"""Bits in a table at most: it has a number for each of their states, for every mode."""


@dataclass(frozen=True, slots=True)
class Factor:
    """Causes that enter the elimination together, and the bits that they can set.

    A factor is a table over its bits, unless they are too many: then it is one cause, whose
    triggers are fired one by one into what it is multiplied with.
    """

    causes: tuple[int, ...]
    bits: int
    is_table: bool = True


def factors(masks: Sequence[int], modes: Sequence[int], summed: int) -> list[Factor]:
    """The factors of all causes that reach two bits or more.

    A cause that sets only summed bits goes with another such cause whose bits hold its own, as
    their tables multiply.

    Args:
        masks: for each cause, the bits that it can set.
        modes: for each cause, how many modes it has.
        summed: mask of the summed bits.
    """
    coupling = (c for c, mask in enumerate(masks) if mask.bit_count() > 1)
    shared: dict[tuple[int, int], list[int]] = {}
    found: list[Factor] = []
    for cause in sorted(coupling, key=lambda c: -masks[c].bit_count()):
        mask = masks[cause]
        moved = (mask & ~summed).bit_count()
        if moved > MOVED or mask.bit_count() > BROAD:
            found.append(Factor((cause,), mask, is_table=False))
        elif moved:
            found.append(Factor((cause,), mask))
        else:
            count = modes[cause]
            home = next((b for b, n in shared if n == count and not mask & ~b), mask)
            shared.setdefault((home, count), []).append(cause)
    return [*found, *(Factor(tuple(causes), home) for (home, _), causes in shared.items())]
