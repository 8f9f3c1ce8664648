"""The work that removes a cause."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from diag.model.figures import CautionId, Entry, LayerId, Minutes, Probability, ThumbId
from diag.model.trait import Where

CapacitorPlace = Literal[
    "decoupling",
    "reservoir",
    "converter",
    "regulator",
    "motor",
    "coupling",
    "timing",
    "filter",
    "mains",
    "mains to case",
    "motor run",
]
"""What a capacitor does where it sits, as a list of a board calls it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Renews:
    """Capacitors that a remedy changes: the places that they have on a board, and which board."""

    places: tuple[CapacitorPlace, ...]
    board: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy(Entry):
    """Work at an open layer; `cures` is the chance that it removes a cause that it mends.

    `renews` stands where changing capacitors is the work, so that a list of a board can tell.
    """

    says: str
    minutes: Minutes
    at: LayerId
    cures: Probability
    how: str = ""
    live: bool = False
    parts: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    cautions: tuple[CautionId, ...] = ()
    cites: tuple[ThumbId, ...] = ()
    where: Where = field(default_factory=dict)
    renews: Renews | None = None
