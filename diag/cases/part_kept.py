"""A part that a deck needs: what has become of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from diag.cases.happened import Happened, check_one_of
from diag.cases.taken_apart import check_count
from diag.cases.text import check_line, check_number, check_text
from diag.errors import CaseError

PartState = Literal["wanted", "ordered", "arrived", "fitted", "not_needed"]


@dataclass(frozen=True, slots=True)
class PartKept(Happened):
    """A part stands so now; what was said of it before no longer counts.

    `remedy` is the work that it is for, empty for any other. `price` is that of one, in the
    restorer's own money; None while it is not known.
    """

    part: str
    remedy: str = ""
    state: PartState = "wanted"
    count: int = 1
    price: float | None = None
    note: str = ""

    def __post_init__(self) -> None:
        """Check the words and numbers."""
        Happened.__post_init__(self)
        check_line(self.part, "name of the part")
        if self.remedy != "":
            check_line(self.remedy, "remedy")
        check_one_of(self.state, get_args(PartState), "state of the part")
        check_count(self.count, "number of parts")
        if self.price is not None and check_number(self.price, "price") < 0:
            raise CaseError("The price is below zero.", do="Give what one costs, or nothing.")
        check_text(self.note, "note")
