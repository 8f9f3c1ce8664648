"""`benchtrail work ... --case`: told first, and put into the case when asked."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from diag.cases.events import Measured, Noted, Remedied, TakenIn
from diag.model.trait import Deck
from diag.reading.location import shipped
from diag.session.session import Session
from diag.session.shelf import Shelf
from screens.cli.main import main

Run = Callable[..., tuple[int, str, str]]
BELTS = "name;length\nold;246\nfitted;212\n"
BOARD = "reference;value;voltage;place\nC1-C2;1000;25;reservoir\n"


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Shelf:
    """A shelf with the shipped books."""
    return Shelf(tmp_path_factory.mktemp("shelf") / "cases.sqlite3", shipped())


@pytest.fixture
def session(shelf: Shelf) -> Session:
    """A belt deck with a mains motor."""
    traits = {"drive": "belt", "mains_motor": "yes"}
    return shelf.take_in("Deck 1", "cassette", Deck(age_years=42, traits=traits), [])


@pytest.fixture
def run(
    session: Session,
    shelf: Shelf,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> Run:
    """Runs `work` for the case; gives the exit code, stdout and stderr."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "belts.csv").write_text(BELTS, encoding="utf-8")
    (tmp_path / "board.csv").write_text(BOARD, encoding="utf-8")

    def call(*words: str) -> tuple[int, str, str]:
        store = ("--store", str(shelf.cases.path), "--knowledge", str(shipped()))
        code = main(["work", *words, "--case", session.case, *store])
        return code, *capsys.readouterr()

    return call


def test_belt_of_a_list_goes_into_the_case(run: Run, session: Session) -> None:
    """First it is told only; then the numbered one goes in, after the dangers of its step."""
    code, out, told = run("belt_choice", "belts.csv", "path=250")
    assert code == 0
    assert out.index("Caution: Mains voltage") < out.index(
        "  1  If in the deck: old, 1.6 % shorter"
    )
    assert "  2  If in the deck: fitted, 15.2 % shorter" in out
    assert "Nothing is written." in told
    assert len(session.reload().state.live) == 1
    assert "a note and 1 of these" in run("belt_choice", "belts.csv", "path=250", "--take", "2")[2]
    measured = session.reload().state.live[-1][1]
    assert isinstance(measured, Measured)
    assert measured.answer == "tight"


def test_mains_goes_into_the_case_as_facts(run: Run, session: Session) -> None:
    """As what the deck is, beside the note."""
    told = json.loads(run("mains_error", "built=60", "local=50", "--take", "all", "--json")[1])
    assert told["case"]["written"] is True
    assert [each["kind"] for each in told["case"]["says"]] == ["facts"]
    (_, note), (_, taken) = session.reload().state.live[1:]
    assert isinstance(note, Noted)
    assert isinstance(taken, TakenIn)
    assert taken.deck.facts == {"strap_hz": 60, "local_hz": 50}


def test_recap_goes_into_the_case_as_done(run: Run, session: Session) -> None:
    """With what it covers told before."""
    out = run("recap", "board.csv", "--take", "1")[1]
    assert "Covers: Reservoir capacitor dried out" in " ".join(out.split())
    done = session.reload().state.live[-1][1]
    assert isinstance(done, Remedied)
    assert (done.remedy, done.note) == ("replace_reservoir", "Renewed: C1 C2")


def test_note_alone_can_go_into_the_case(run: Run, session: Session) -> None:
    """Also of a sum that says nothing of the deck."""
    code, out, _ = run("cents", "error=1.5", "--take", "none")
    assert code == 0
    assert "Says nothing to this case." in out
    assert isinstance(session.reload().state.live[-1][1], Noted)


@pytest.mark.parametrize("numbers", ["3", "0", "1,7", "x", ""])
def test_number_that_is_not_there_writes_nothing(run: Run, session: Session, numbers: str) -> None:
    """And is told with those that are."""
    code, _, told = run("belt_choice", "belts.csv", "path=250", "--take", numbers)
    assert code == 2
    assert "Give 1 to 2, all, or none." in told
    assert len(session.reload().state.live) == 1


def test_take_without_a_case_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    """It would be lost in silence."""
    assert main(["work", "cents", "error=1.5", "--take", "all"]) == 2
    assert "--case" in capsys.readouterr().err
