"""Labels for trays and wires, and the list to put a deck together by."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from small_case import small_shelf, take_apart, taken_in, worked_on

from diag.errors import ExportError
from diag.session.session import Session
from diag.session.taken_apart import put_back, take_off
from diag.trail.labels import labels_page, write_labels
from diag.trail.loose import stripped


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """A deck with screws, a wire and levers off."""
    session = worked_on(taken_in(small_shelf(tmp_path), name="Deck <1>"))
    take_apart(session)
    return session


def page_of(session: Session) -> str:
    """The page of a case."""
    snapshot = session.snapshot
    layers = stripped(snapshot.book, snapshot.state)
    return labels_page(snapshot.state.name, snapshot.case, layers)


def test_page_has_a_label_for_each_tray_and_each_end_of_a_wire(session: Session) -> None:
    """What is still off only: two of the four screws are back."""
    take_off(session, "lid", "part", place="front", lies="shelf")
    page = page_of(session)
    assert page.count('class="tray"') == 1
    assert "2 screws, rear edge (two are &lt;long&gt;)" in page
    assert re.findall(r'class="wire"><b>\d+</b> ([^<]*)<', page) == [
        "red board 3",
        "red motor",
        "Deck &lt;1&gt;",
    ]


def test_list_runs_backwards_with_a_box_for_each_line(session: Session) -> None:
    """The last thing off is the first line; what was moved has its look."""
    told = page_of(session).partition('class="list"')[2]
    at = [told.index(words) for words in ("2 levers", "red wire", "4 screws", "in front of its")]
    assert at == sorted(at)
    assert told.count("&#9744;") == 5


def test_page_needs_nothing_and_runs_nothing(session: Session) -> None:
    """No script, no picture, nothing from elsewhere; a name can't become markup."""
    page = page_of(session)
    assert "Deck <1>" not in page
    assert not re.search(r"<script|<img|src=|href=|url\(", page)


def test_deck_that_is_together_says_so(tmp_path: Path) -> None:
    """An empty page would look like a fault."""
    assert "Nothing was told to be off this deck." in page_of(taken_in(small_shelf(tmp_path)))


def test_all_put_back_leaves_no_label(session: Session) -> None:
    """A label that is no longer needed isn't printed again."""
    layers = stripped(session.book, session.snapshot.state)
    for thing in layers[1].things:
        put_back(session, thing.number, thing.left)
    assert 'class="tray"' not in page_of(session)
    assert 'class="wire"' not in page_of(session)


def test_labels_never_overwrite(session: Session, tmp_path: Path) -> None:
    """As every other export."""
    (tmp_path / "a.html").write_text("mine")
    with pytest.raises(ExportError):
        write_labels("Deck", "c-1", (), tmp_path / "a.html")
    assert (tmp_path / "a.html").read_text() == "mine"
