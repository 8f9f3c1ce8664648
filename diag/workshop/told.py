"""What a sum or a job has to say to the case of a deck: no id of a book, only quantities."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Judged = Literal["", "low", "right", "high"]
"""How a sum judges a figure by limits of its own; empty if it has none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A figure that the checks and facts of a book may ask for.

    Args:
        quantity: as books name it.
        value: in the unit of `unit_symbol`.
        unit_symbol: as books write it.
        says: the figure in words.
        judged: by the limits of the sum.
        of: which of the things on a list it is of; empty for the one that a sum is about.
    """

    quantity: str
    value: float
    unit_symbol: str
    says: str
    judged: Judged = ""
    of: str = ""


@dataclass(frozen=True, slots=True)
class Renewed:
    """Capacitors that a list changes: their references, their place, and the board if it is told.

    `place` is a key of `recap_parts.PLACES`, or empty.
    """

    references: tuple[str, ...]
    place: str
    board: str
