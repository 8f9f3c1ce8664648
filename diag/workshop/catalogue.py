"""Every sum, by its name."""

from __future__ import annotations

from collections.abc import Collection

from diag.errors import BenchtrailError
from diag.model.nearest import nearest
from diag.workshop import (
    belt_load,
    belt_round,
    belts,
    capacitors,
    discharge,
    esr,
    forces,
    levels,
    mains,
    reels,
    replay,
    speed,
)
from diag.workshop.declaration import Sum

PARTS: tuple[tuple[Sum, ...], ...] = (
    belts.SUMS,
    belt_round.SUMS,
    belt_load.SUMS,
    speed.SUMS,
    reels.SUMS,
    mains.SUMS,
    capacitors.SUMS,
    esr.SUMS,
    discharge.SUMS,
    forces.SUMS,
    levels.SUMS,
    replay.SUMS,
)
SUMS = {one.name: one for part in PARTS for one in part}


def sum_named(name: str, others: Collection[str] = ()) -> Sum:
    """The sum of a name.

    Args:
        name: which.
        others: what else it may have been meant to be.

    Raises:
        BenchtrailError: there is none.
    """
    if name not in SUMS:
        raise BenchtrailError(
            f"there is no sum '{name}'.",
            do=nearest(name, [*SUMS, *others]) or "`benchtrail work` lists them.",
        )
    return SUMS[name]
