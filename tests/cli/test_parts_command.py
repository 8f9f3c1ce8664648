"""`benchtrail parts` and `benchtrail case labels`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from small_case import small_shelf, taken_in

from diag.session.session import Session
from diag.session.taken_apart import take_off

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """A case whose belt is wanted, with four screws off."""
    session = taken_in(small_shelf(tmp_path))
    session.mend("renew", "given_up")
    take_off(session, "lid", "screw", count=4, tray=1)
    return session


@pytest.fixture
def run(session: Session, command: Run) -> Run:
    """Runs a command on the store of the test, in which the case is."""
    return command


def test_part_is_ordered_and_listed(run: Run, session: Session) -> None:
    """A state and a price in one call; the sum is told beside the data."""
    set_belt = ("parts", "set", session.case, "a belt", "--state", "ordered", "--price", "4,50")
    code, out, _ = run(*set_belt)
    assert (code, out) == (0, "ordered    1 x a belt, 4.50 each, for: Renew the belt\n")
    run("parts", "set", session.case, "feet", "--count", "4", "--note", "12 mm")
    code, out, told = run("parts", "list")
    assert out.splitlines() == [
        f"{session.case}  Deck 1: ordered    1 x a belt, 4.50 each, for: Renew the belt",
        f"{session.case}  Deck 1: wanted     4 x feet (12 mm)",
    ]
    assert "2 in all, 4.50 as far as priced." in told
    run("parts", "set", session.case, "a belt", "--state", "fitted")
    assert "belt" not in run("parts", "list")[1]
    assert "belt" in run("parts", "list", "--all")[1]


def test_wrong_price_is_refused(run: Run, session: Session) -> None:
    """One line that says what to type."""
    code, out, told = run("parts", "set", session.case, "a belt", "--price", "cheap")
    assert (code, out) == (2, "")
    assert "'cheap' is no number" in told


def test_list_is_written_for_a_spreadsheet_and_never_over_a_file(run: Run, tmp_path: Path) -> None:
    """A header and a row a part."""
    assert run("parts", "list", "--csv", "order.csv")[0] == 0
    text = (tmp_path / "order.csv").read_text(encoding="utf-8-sig")
    assert text.splitlines()[0] == "case,deck,part,for,state,count,price,note"
    code, _, told = run("parts", "list", "--csv", "order.csv")
    assert code == 2
    assert "There is a file of this name." in told


def test_no_such_case_is_told(run: Run) -> None:
    """A slip in the id is not an empty list."""
    code, out, told = run("parts", "list", "--case", "c-zzzzz")
    assert (code, out) == (2, "")
    assert "There is no such case" in told


def test_labels_are_written_beside_the_deck(run: Run, session: Session, tmp_path: Path) -> None:
    """One page, named after the deck."""
    assert run("case", "labels", session.case)[0] == 0
    assert "4 screws" in (tmp_path / "deck-1-labels.html").read_text(encoding="utf-8")
