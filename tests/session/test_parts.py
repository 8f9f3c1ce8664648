"""The parts that decks need."""

from __future__ import annotations

import csv
from dataclasses import replace
from io import StringIO
from pathlib import Path

import pytest
from small_case import small_shelf, taken_in

from diag.errors import CaseError
from diag.session.parts import PartLine, cost, keep_part, offered_parts, parts_csv, parts_of
from diag.session.session import Session
from diag.session.taken_apart import put_back, say_anew, take_off


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """A case of the small book."""
    return taken_in(small_shelf(tmp_path))


def lines(session: Session) -> tuple[PartLine, ...]:
    """The parts of a case as it stands."""
    return parts_of(session.book, session.snapshot.state)


def test_parts_follow_the_remedies_until_a_person_says_otherwise(session: Session) -> None:
    """Done means fitted, given up means still wanted; a word of a person stands above both."""
    assert lines(session) == ()
    assert [line.part for line in offered_parts(session.snapshot)] == ["a belt"]
    session.mend("renew", "given_up")
    (line,) = lines(session)
    assert (line.part, line.work, line.state) == ("a belt", "Renew the belt", "wanted")
    assert offered_parts(session.snapshot) == ()
    keep_part(session, replace(line, state="ordered", price=4.5, count=2))
    (line,) = lines(session)
    assert (line.state, line.is_kept, cost([line])) == ("ordered", True, 9.0)
    session.undo()
    session.mend("renew")
    assert lines(session)[0].state == "fitted"


def test_order_list_spans_the_decks_and_finds_no_formula(tmp_path: Path) -> None:
    """What is fitted is not on it; a cell that begins with a sign is text for a spreadsheet."""
    shelf = small_shelf(tmp_path)
    first, second = taken_in(shelf, "Deck 1"), taken_in(shelf, "=cmd|' /C calc'!A0")
    first.mend("renew")
    own = PartLine(part="+feet", remedy="", work="", state="wanted", price=1.25, note="@A1")
    keep_part(first, own)
    keep_part(second, replace(own, part="knob"))
    found = shelf.parts()
    assert [(part.deck, part.line.part) for part in found] == [
        ("=cmd|' /C calc'!A0", "knob"),
        ("Deck 1", "+feet"),
    ]
    rows = list(csv.DictReader(StringIO(parts_csv(found).decode("utf-8-sig"))))
    assert [row["price"] for row in rows] == ["1.25", "1.25"]
    for row in rows:
        assert not any(cell.startswith(("=", "+", "-", "@")) for cell in row.values())


def test_no_more_goes_back_than_came_off(session: Session) -> None:
    """A slip is told with what is left; a number that took nothing off is refused."""
    take_off(session, "lid", "screw", count=2, tray=1)
    number = session.snapshot.revision
    put_back(session, number, 1)
    with pytest.raises(CaseError, match="Only 1 of them is left"):
        put_back(session, number, 2)
    with pytest.raises(CaseError, match="took nothing off"):
        put_back(session, 1, 1)
    say_anew(session, number, count=3, place="rear")
    put_back(session, number, 2, "new")
    with pytest.raises(CaseError, match="Only 0 of them are left"):
        put_back(session, number, 1)
