"""What came off, typed in a few signs."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.cases.taken_apart import TakenOff, Thing
from screens.typed_thing import KINDS, thing_of, typed_of

AT = datetime(2026, 3, 1, tzinfo=UTC)
words = st.text("abc é-", max_size=8).map(str.strip)


@pytest.mark.parametrize(
    ("what", "typed", "told"),
    [
        ("screw", "", (1, "", 3, "")),
        ("screw", "4", (4, "", 3, "")),
        ("screw", "M3 x 8", (1, "M3 x 8", 3, "")),
        ("screw", "4 rear @7", (4, "rear", 7, "")),
        ("part", "front panel @ shelf", (1, "front panel", 0, "shelf")),
        ("belt", "capstan @", (1, "capstan", 0, "")),
        ("lever", "2 trigger", (2, "trigger", 0, "")),
    ],
)
def test_few_signs_are_enough(what: Thing, typed: str, told: tuple[int, str, int, str]) -> None:
    """Nothing at all is one thing into the tray in use; a lever stays in the deck."""
    found = thing_of(what, typed, 3)
    assert (found["count"], found["place"], found["tray"], found["lies"]) == told


def test_line_to_correct_ends_with_what_was_told() -> None:
    """No commas for what was left out."""
    assert typed_of(TakenOff("lid", "wire", colour="red", place="motor", at=AT)) == "red, motor @"


@given(
    what=st.sampled_from(KINDS),
    count=st.integers(1, 999),
    place=words.filter(lambda w: w[:1] != "-"),
    note=words,
    tray=st.integers(0, 999),
    to=words,
)
def test_line_to_correct_says_the_same(
    what: Thing, count: int, place: str, note: str, tray: int, to: str
) -> None:
    """What stands in the line to be corrected gives every field back."""
    told = {"count": count, "place": place, "note": note, "tray": tray, "lies": ""}
    if what == "wire":
        told |= {"count": 1, "colour": place, "to": to}
    taken = TakenOff("lid", what, **told, at=AT)
    assert thing_of(what, typed_of(taken), 5) == told
