"""A figure of the deck that can't be is refused wherever it is told, and nothing is written."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from small_case import small_shelf, taken_in

from diag.cases.events import TakenIn
from diag.cases.store import CaseStore
from diag.errors import CaseError
from diag.model.trait import Deck
from diag.session.shelf import Shelf
from diag.session.worked import Meaning, put_down
from screens.cli.main import main

# Public mains have 50 or 60 Hz: common practice.
REFUSED = "11 Hz can't be; 45 to 65 Hz can."
TOO_OLD = "400 years can't be; 0 to 120 years can."
ASKED = "What is the local mains?', unit: Hz"


def bound(folder: Path) -> None:
    """Give the mains frequency of the small book its range."""
    family = folder / "knowledge" / "tape" / "family.yaml"
    text = family.read_text(encoding="utf-8")
    assert ASKED in text
    family.write_text(text.replace(ASKED, f"{ASKED}, range: [45, 65]"), encoding="utf-8")


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shelf:
    """A shelf with the small book, in the folder of the test."""
    shelf = small_shelf(tmp_path)
    bound(tmp_path)
    monkeypatch.chdir(tmp_path)
    return shelf


def test_prompts_ask_again(
    shelf: Shelf, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Age and mains are told to be impossible, then taken as they are typed anew."""
    lines = ["Deck", "2", "400", "45", "60", "11", "50", ".", "", "q"]
    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(lines) + "\n"))
    assert main(["ask", "--store", "cases.sqlite3", "--knowledge", "knowledge"]) == 0
    out = capsys.readouterr().out
    assert f"age: {TOO_OLD}" in out
    assert f"local hz: {REFUSED}" in out
    (case,) = shelf.decks()
    taken = shelf.cases.events(case.id)[0]
    assert isinstance(taken, TakenIn)
    assert taken.deck == Deck(age_years=45, facts={"strap_hz": 60, "local_hz": 50})


@pytest.mark.parametrize(("deck", "told"), [("local_hz: 11", REFUSED), ("age: 400", TOO_OLD)])
def test_rank_file_is_refused_at_its_line(
    shelf: Shelf, deck: str, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """With the line, the figure and what can be."""
    Path("deck.yaml").write_text(f"family: tape\ndeck:\n  {deck}\n", encoding="utf-8")
    assert main(["rank", "deck.yaml", "--knowledge", "knowledge"]) == 2
    assert f"deck.yaml:3: {deck.partition(':')[0]}: {told}" in capsys.readouterr().err


def test_case_file_is_refused_whole(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A case of a book without the range stays where it is; the store here gets nothing."""
    before = small_shelf(tmp_path)
    old = before.take_in("Deck", "tape", Deck(facts={"local_hz": 11.0}), [])
    path = tmp_path / "old.json"
    before.export_file(old.case, path)
    told = path.read_bytes()
    bound(tmp_path)
    store = tmp_path / "new.sqlite3"
    call = ["case", "import", str(path), "--knowledge", str(tmp_path / "knowledge")]
    assert main([*call, "--store", str(store)]) == 2
    err = capsys.readouterr().err
    assert f"local hz: {REFUSED}" in err
    assert "old.json" in err
    assert path.read_bytes() == told
    assert CaseStore(store).cases() == ()


def test_right_case_file_is_taken_in(shelf: Shelf, tmp_path: Path) -> None:
    """So is one whose slip was put right later."""
    session = taken_in(shelf)
    shelf.export_file(session.case, tmp_path / "case.json")
    other = Shelf(tmp_path / "other.sqlite3", tmp_path / "knowledge")
    found = other.import_file(tmp_path / "case.json")
    assert other.cases.events(found.case_id) == session.events


def test_amending_writes_nothing(shelf: Shelf) -> None:
    """Neither the figure nor what was told with it."""
    session = taken_in(shelf)
    before = session.events
    with pytest.raises(CaseError, match="11 Hz can't be"):
        session.correct("Other", Deck(facts={"local_hz": 11.0}), "", ["drags"])
    assert shelf.cases.events(session.case) == before


def test_sum_writes_nothing_beside_an_older_slip(tmp_path: Path) -> None:
    """A case from before the range: its slip is named before the note of the sum is written."""
    old = small_shelf(tmp_path).take_in("Deck", "tape", Deck(facts={"local_hz": 11.0}), [])
    bound(tmp_path)
    shelf = Shelf(tmp_path / "cases.sqlite3", tmp_path / "knowledge")
    session = shelf.reopen(old.case)
    told = Meaning(
        kind="facts", id="strap_hz", says="", detail="", because="", facts=(("strap_hz", 60.0),)
    )
    with pytest.raises(CaseError, match="11 Hz can't be"):
        put_down(session, "Note of it.", [told])
    assert len(shelf.cases.events(old.case)) == 1


def test_sum_writes_not_even_its_note(shelf: Shelf) -> None:
    """A sum takes any mains, 400 Hz of an aircraft too; the deck does not."""
    session = taken_in(shelf)
    before = session.events
    told = Meaning(
        kind="facts",
        id="local_hz",
        says="400 Hz",
        detail="",
        because="",
        facts=(("local_hz", 400.0),),
    )
    with pytest.raises(CaseError, match="400 Hz can't be"):
        put_down(session, "Note of it.", [told])
    assert shelf.cases.events(session.case) == before
