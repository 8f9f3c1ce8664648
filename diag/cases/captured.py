"""What a recording of the deck was found to hold, as a case keeps it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diag.cases.text import check_line, check_number, check_text
from diag.errors import CaseError
from diag.model.history import Sure

MOST_POINTS = 500
"""Points of a kept curve: more than a page or a screen can show."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptFigure:
    """One figure; `uncertainty` is half the width of its 95 % interval, in `unit` like `value`."""

    key: str
    says: str
    value: float
    uncertainty: float
    unit: str = ""

    def __post_init__(self) -> None:
        """Check the words and the numbers."""
        check_line(self.key, "key of the figure")
        check_line(self.says, "name of the figure")
        check_number(self.value, f"figure {self.key}")
        check_number(self.uncertainty, f"uncertainty of {self.key}")
        if self.uncertainty < 0:
            raise CaseError(f"The uncertainty of {self.key} is below zero.", do="Measure it again.")
        check_text(self.unit, "unit")


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptCurve:
    """A line that can be drawn, thinned; `is_log` tells that x belongs on a logarithmic axis."""

    name: str
    says: str
    x: tuple[float, ...]
    y: tuple[float, ...]
    x_unit: str
    y_unit: str
    is_log: bool = False

    def __post_init__(self) -> None:
        """Check the words, and that there is one y for each x."""
        check_line(self.name, "name of the curve")
        check_line(self.says, "title of the curve")
        check_text(self.x_unit, "unit")
        check_text(self.y_unit, "unit")
        if len(self.x) != len(self.y) or not 0 < len(self.x) <= MOST_POINTS:
            raise CaseError(
                f"The curve {self.name} has {len(self.x)} x and {len(self.y)} y.",
                do=f"Give 1 to {MOST_POINTS} of each, as many of the one as of the other.",
            )
        for number in (*self.x, *self.y):
            check_number(number, f"point of the curve {self.name}")
        if self.is_log and min(self.x) <= 0:
            raise CaseError(
                f"The curve {self.name} has an x that no logarithmic axis can show.",
                do="Leave out what is not above zero.",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Likely:
    """One of several that may be behind it, such as a rotating part, with its probability."""

    says: str
    chance: float

    def __post_init__(self) -> None:
        """Check the words and the probability."""
        check_line(self.says, "name of what is likely")
        if not 0 <= check_number(self.chance, f"chance of {self.says}") <= 1:
            raise CaseError(f"The chance of {self.says} is not within 0 to 1.", do="Correct it.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a figure says to a measuring check: its value, in `unit`, which means `answer`."""

    check: str
    value: float
    unit: str
    answer: str
    sure: Sure = "certain"

    def __post_init__(self) -> None:
        """Check the ids and the value."""
        check_line(self.check, "check")
        check_number(self.value, "measured value")
        check_text(self.unit, "unit")
        check_line(self.answer, "answer")


def check_parts(parts: Sequence[object], what: str, most: int = 100) -> None:
    """Refuse more of a kind than any measurement has."""
    if len(parts) > most:
        raise CaseError(f"There are {len(parts)} {what}; {most} are allowed.", do="Leave some out.")
