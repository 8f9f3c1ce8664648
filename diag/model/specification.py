"""What the figures of a deck are to be: by its maker, by a standard, or as somebody wants them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import inf

from diag.model.figures import Entry, Name, SourceId


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit(Entry):
    """What one figure of a measurement is to be; its id is the figure's key.

    Attributes:
        says: the figure in words, and under which conditions.
        unit: that of the figure.
        at_most: its highest value; or
        at_least: its lowest; or
        within: how far it may be from nought, either way.
        tolerance: by how much it may miss that and still be taken.
        source: where it comes from, if not from where the specification does.
    """

    says: str
    unit: str
    at_most: float | None = None
    at_least: float | None = None
    within: float | None = None
    tolerance: float = 0.0
    source: SourceId | None = None

    def __post_init__(self) -> None:
        given = [v for v in (self.at_most, self.at_least, self.within) if v is not None]
        if len(given) != 1:
            raise ValueError("one of at_most, at_least and within is wanted")
        if self.tolerance < 0 or (self.within is not None and self.within < 0):
            raise ValueError("tolerance and within can't be below 0")

    @property
    def allowed(self) -> tuple[float, float]:
        """Lowest and highest value that is taken, tolerance included."""
        if self.at_most is not None:
            return -inf, self.at_most + self.tolerance
        if self.at_least is not None:
            return self.at_least - self.tolerance, inf
        reach = (self.within or 0.0) + self.tolerance
        return -reach, reach

    @property
    def in_words(self) -> str:
        """As in `at most 0.2 %`."""
        if self.within is not None:
            words = f"±{self.within:g}"
        elif self.at_most is not None:
            words = f"at most {self.at_most:g}"
        else:
            words = f"at least {self.at_least:g}"
        words += f" (tolerance {self.tolerance:g})" if self.tolerance else ""
        return f"{words} {self.unit}".rstrip()


@dataclass(frozen=True, slots=True, kw_only=True)
class Specification(Entry):
    """Limits by the keys of their figures, and where they come from.

    `sizes` are those of the deck's turning parts by the keys of `diag.model.sizes`.
    """

    says: str
    source: SourceId
    limits: Mapping[Name, Limit]
    sizes: Mapping[Name, float] = field(default_factory=dict)
