"""What a recording of the deck was found to hold, as a case keeps it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diag.cases.text import check_line, check_number, check_text
from diag.errors import CaseError
from diag.model.found import Curve, Figure
from diag.model.history import Sure

MOST_POINTS = 500
"""Points of a kept curve: more than a page or a screen can show."""


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


def check_figure(figure: Figure) -> None:
    """Refuse a figure whose words or numbers a case can't keep."""
    check_line(figure.key, "key of the figure")
    check_line(figure.says, "name of the figure")
    check_number(figure.value, f"figure {figure.key}")
    check_number(figure.uncertainty, f"uncertainty of {figure.key}")
    if figure.uncertainty < 0:
        raise CaseError(f"The uncertainty of {figure.key} is below zero.", do="Measure it again.")
    check_text(figure.unit, "unit")


def check_curve(curve: Curve) -> None:
    """Refuse a curve whose words a case can't keep, or without one y for each of its x."""
    check_line(curve.name, "name of the curve")
    check_line(curve.says, "title of the curve")
    check_text(curve.x_unit, "unit")
    check_text(curve.y_unit, "unit")
    if len(curve.x) != len(curve.y) or not 0 < len(curve.x) <= MOST_POINTS:
        raise CaseError(
            f"The curve {curve.name} has {len(curve.x)} x and {len(curve.y)} y.",
            do=f"Give 1 to {MOST_POINTS} of each, as many of the one as of the other.",
        )
    for number in (*curve.x, *curve.y):
        check_number(number, f"point of the curve {curve.name}")
    if curve.is_log and min(curve.x) <= 0:
        raise CaseError(
            f"The curve {curve.name} has an x that no logarithmic axis can show.",
            do="Leave out what is not above zero.",
        )


def check_parts(parts: Sequence[object], what: str, most: int = 100) -> None:
    """Refuse more of a kind than any measurement has."""
    if len(parts) > most:
        raise CaseError(f"There are {len(parts)} {what}; {most} are allowed.", do="Leave some out.")
