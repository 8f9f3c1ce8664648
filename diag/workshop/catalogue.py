"""Every sum, by its name."""

from __future__ import annotations

from diag.errors import BenchtrailError
from diag.model.nearest import nearest
from diag.workshop import belts, discharge
from diag.workshop.declaration import Sum

SUMS = {one.name: one for part in (belts, discharge) for one in part.SUMS}


def sum_named(name: str) -> Sum:
    """The sum of a name.

    Raises:
        BenchtrailError: there is none.
    """
    if name not in SUMS:
        raise BenchtrailError(
            f"there is no sum '{name}'.",
            do=nearest(name, SUMS) or "`benchtrail work` lists them.",
        )
    return SUMS[name]
