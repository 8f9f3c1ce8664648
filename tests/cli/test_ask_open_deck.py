"""Plain prompts: what is worth doing in an open deck, and what comes before it is closed."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pytest

from diag.cases.events import Answered, Closed
from diag.model.trait import Deck
from diag.session.session import Session
from diag.session.shelf import Shelf
from screens.cli.main import main

BOOK = Path(__file__).parents[1] / "screens" / "book"

Type = Callable[..., str]


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """A deck that eats tape, with its mechanism out and its intake answered."""
    shelf = Shelf(tmp_path / "cases.sqlite3", BOOK)
    begun = shelf.take_in("Deck", "tape", Deck(age_years=45), ["eats_tape"])
    begun.answer("first_power", "quiet")
    begun.answer("play_moves", "moves")
    begun.open("transport")
    return begun


@pytest.fixture
def typed(
    session: Session,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> Type:
    """Types lines on the plain bench of that deck; gives what it printed, on one line."""

    def run(*lines: str) -> str:
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        store = str(tmp_path / "cases.sqlite3")
        call = ["ask", "--store", store, "--knowledge", str(BOOK), "--case", session.case]
        assert main(call) == 0
        session.reload()
        return " ".join(capsys.readouterr().out.split())

    return run


def test_h_tells_what_is_worth_doing_in_here(session: Session, typed: Type) -> None:
    """Each with its reason; its number makes it the step at hand."""
    out = typed("h", "1", "2", "q")
    assert "While you are in here: 1 Lift the capstan belt off one pulley." in out
    assert "once the deck is closed, and it parts" in out
    last = session.events[-1]
    assert isinstance(last, Answered)
    assert (last.check, last.answer) == ("belt_feel", "tight")


def test_closed_deck_has_nothing_in_here(session: Session, typed: Type) -> None:
    """With all closed, `h` says so in a sentence."""
    session.close("lid")
    assert "Nothing in here is worth its minutes now." in typed("h", "q")


def test_number_before_closing_goes_to_the_look(session: Session, typed: Type) -> None:
    """What the opening may have brought about comes first, and the layer stays open for it."""
    out = typed("l", "2", "1", "q")
    assert "which the opening may have brought about. Mended in here by: Seat the trigger" in out
    assert "first: Turn it through play and stop by hand." in out
    assert out.index("Before you close:") < out.index("Close: Mechanism out")
    assert "2 The partner follows both ways" in out
    assert not any(isinstance(event, Closed) for event in session.events)


def test_layer_is_closed_all_the_same(session: Session, typed: Type) -> None:
    """`y` closes it, looked at or not."""
    typed("l", "2", "y", "q")
    last = session.events[-1]
    assert isinstance(last, Closed)
    assert last.layer == "transport"


def test_final_test_tells_what_comes_before_closing(session: Session, typed: Type) -> None:
    """Where the test wants the deck closed, a number goes to a look instead of `o`."""
    for check, answer in (
        ("play_moves", "moves"),
        ("hubs_in_play", "both"),
        ("idler_look", "dull"),
        ("belt_feel", "right"),
        ("speed_error", "right"),
    ):
        session.answer(check, answer)
    out = typed("q")
    assert "Final test:" in out
    assert "Type o when that is done, or the number of what you do first." in out
    typed("1", "2", "q")
    assert [getattr(e, "check", "") for e in session.events][-1] == "lever_try"
