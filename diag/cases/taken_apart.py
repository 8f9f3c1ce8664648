"""What comes off a deck while it is opened, and what goes back on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from diag.cases.happened import Happened, check_one_of
from diag.cases.text import check_line, check_text
from diag.errors import CaseError

Thing = Literal["screw", "washer", "clip", "spring", "wire", "plug", "lever", "belt", "part"]
Return = Literal["back", "new", "left_out"]

MOST = 999
"""Of one thing, and of trays: more than any deck has."""


@dataclass(frozen=True, slots=True)
class TakenOff(Happened):
    """Things of one kind were taken off, pulled, unsoldered or moved from where they were.

    `place` is where they sat, for a wire the end that is named first and `to` the other end. They
    lie in the numbered `tray` or where `lies` says; with neither they stay in the deck, out of
    place. `photo` names a picture of how it was. `corrects` is the number of an earlier event that
    this one says anew; 0 if it is none.
    """

    layer: str
    what: Thing
    count: int = 1
    place: str = ""
    tray: int = 0
    lies: str = ""
    colour: str = ""
    to: str = ""
    note: str = ""
    photo: str = ""
    corrects: int = 0

    def __post_init__(self) -> None:
        """Check the words and numbers, and that a thing lies in one place only."""
        Happened.__post_init__(self)
        check_line(self.layer, "layer")
        check_one_of(self.what, get_args(Thing), "kind of thing")
        check_count(self.count, "number of things")
        for words, called in (
            (self.place, "place that it sat"),
            (self.lies, "place where it lies"),
            (self.colour, "colour"),
            (self.to, "other end"),
            (self.photo, "name of the photograph"),
        ):
            if words != "":
                check_line(words, called)
        check_text(self.note, "note")
        if not 0 <= self.tray <= MOST:
            raise CaseError(f"Trays are numbered 1 to {MOST}.", do="Give one of these, or none.")
        if self.tray and self.lies:
            raise CaseError(
                "It can't lie in a tray and somewhere else.", do="Give the one or the other."
            )
        if (self.colour or self.to) and self.what != "wire":
            raise CaseError("Only a wire has a colour and another end.", do="Leave them out.")
        if self.corrects < 0:
            raise CaseError("Events are numbered 1, 2, 3 and so on.", do="Name an event so.")

    @property
    def stays_inside(self) -> bool:
        """Whether it is still in the deck, out of its place."""
        return not self.tray and not self.lies


@dataclass(frozen=True, slots=True)
class PutBack(Happened):
    """Some of what the event `item` took off is accounted for.

    It is `back`, a `new` one is in its place, or it was `left_out` on purpose.
    """

    item: int
    count: int = 1
    how: Return = "back"
    note: str = ""

    def __post_init__(self) -> None:
        """Check the numbers and words."""
        Happened.__post_init__(self)
        if self.item < 1:
            raise CaseError("Events are numbered 1, 2, 3 and so on.", do="Name an event so.")
        check_count(self.count, "number of things")
        check_one_of(self.how, get_args(Return), "way back")
        check_text(self.note, "note")


def check_count(count: int, what: str) -> None:
    """Refuse a number of things that is not 1 to `MOST`."""
    if not 1 <= count <= MOST:
        raise CaseError(f"The {what} is not within 1 to {MOST}.", do="Count again.")
