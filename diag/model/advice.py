"""Rules of thumb, cautions, and the sources behind them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diag.model.figures import Entry, SourceId

UNPUBLISHED = {"common_practice": "common practice", "from_memory": "from memory"}
"""Sources that every book has without listing them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Source(Entry):
    """Where a figure comes from."""

    title: str
    publisher: str = ""
    year: int | None = None
    number: str = ""

    @property
    def standing(self) -> str:
        """`published`, `common practice` or `from memory`."""
        return UNPUBLISHED.get(self.id, "published")


@dataclass(frozen=True, slots=True, kw_only=True)
class Thumb(Entry):
    """A rule of thumb with its figure, the range in which it holds, and where it comes from."""

    says: str
    source: SourceId
    figure: float | None = None
    range: tuple[float, ...] = ()
    unit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution(Entry):
    """A hazard and what to do about it. `danger` must be acknowledged before the step is shown."""

    says: str
    severity: Literal["care", "danger"]
    do: str = ""
    source: SourceId | None = None
