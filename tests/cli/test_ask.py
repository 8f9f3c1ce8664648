"""The whole job by plain prompts, typed line by line."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest
from small_case import small_shelf, taken_in

from diag.cases.events import (
    Acknowledged,
    Answered,
    Event,
    Measured,
    Noted,
    Opened,
    Remedied,
    TakenIn,
)
from diag.cases.store import CaseStore
from screens.cli.main import main

INTAKE = ["My deck", "2", "45", "60", "50", "1", "belt by the owner"]
"""Name, symptom, age, two facts, a trait and the story."""

Ask = Callable[..., str]


@pytest.fixture
def ask(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Ask:
    """Types lines into `benchtrail ask` until they end; gives what it printed."""
    small_shelf(tmp_path)
    monkeypatch.chdir(tmp_path)

    def run(*lines: str, case: str = "") -> str:
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        call = ["ask", "--store", "cases.sqlite3", "--knowledge", "knowledge"]
        assert main([*call, *(["--case", case] if case else [])]) == 0
        return capsys.readouterr().out

    return run


def events() -> list[Event]:
    """The events of the only case."""
    store = CaseStore(Path("cases.sqlite3"))
    (case,) = store.cases()
    return list(store.events(case.id))


def test_deck_is_taken_in_as_it_was_told(ask: Ask) -> None:
    """Every prompt of the intake lands in the case; so does the end of the input."""
    out = ask(*INTAKE)
    intake, symptom = events()
    assert isinstance(intake, TakenIn)
    assert (intake.name, intake.family, intake.story) == ("My deck", "tape", "belt by the owner")
    assert intake.deck.age_years == 45.0
    assert intake.deck.traits == {"drive": "belt"}
    assert intake.deck.facts == {"strap_hz": 60.0, "local_hz": 50.0}
    assert getattr(symptom, "symptom", "") == "drags"
    assert out.endswith("Everything answered is saved.\n")


def test_everything_but_the_name_may_stay_unknown(ask: Ask) -> None:
    """An empty line, 0 and a full stop leave things unknown."""
    ask("Deck", "", "0", ".", "", "q")
    (intake,) = events()
    assert isinstance(intake, TakenIn)
    assert (intake.deck.age_years, intake.deck.traits, intake.deck.facts) == (None, {}, {})


def test_slips_of_the_intake_are_told_and_asked_again(ask: Ask) -> None:
    """An empty name, one with a control character, no symptom of that number, an age of -3."""
    out = ask("", "a\tb", "Deck", "1 9", "1", "-3", "old", "45", ".", "", "q")
    for told in ("name is empty", "U+0009", "'9' is none of these", "'-3' does not", "'old' does"):
        assert told in out
    intake = events()[0]
    assert isinstance(intake, TakenIn)
    assert intake.deck.age_years == 45.0


def test_whole_case_to_the_exported_trail(ask: Ask, tmp_path: Path) -> None:
    """Answer, danger, opening, repair, looks while it is open, closing, final test, and the trail.

    Sound and shaft are seen to before the lid goes on; the speed is measured on the closed deck.
    """
    ask(*INTAKE, "1", "y", "o", "1", "size 60", "2", "2", "o", "0,3 %", "x", "1", "", "q")
    kinds = [type(event).__name__ for event in events()[2:]]
    assert kinds == [
        "Answered",
        "Acknowledged",
        "Opened",
        "Remedied",
        "Answered",
        "Answered",
        "Closed",
        "Measured",
    ]
    mended = next(event for event in events() if isinstance(event, Remedied))
    assert (mended.remedy, mended.outcome, mended.note) == ("renew", "done", "size 60")
    trail = (tmp_path / "my-deck.md").read_text(encoding="utf-8")
    assert "The final test stands passed." in trail
    assert "DANGER, acknowledged: Mains inside." in trail


def test_danger_hides_the_step_until_it_is_read(ask: Ask) -> None:
    """Before y neither the step nor its answers are there, and nothing reaches the case."""
    out = ask(*INTAKE, "1", "1", "o", "d", "0", "q")
    card = out[out.index("DANGER: Mains inside. Unplug it.") :]
    assert "Renew the belt" not in card
    assert [type(event) for event in events()[3:]] == []
    out = ask("y", case=only_case())
    assert "Mend: Renew the belt" in out
    assert isinstance(events()[-1], Acknowledged)


def test_step_is_not_answered_before_its_layer_is_open(ask: Ask) -> None:
    """At a closed layer the numbers of the answers are refused."""
    out = ask(*INTAKE, "1", "y", "1", "2", "q")
    assert out.count("does not fit here") == 2
    assert not any(isinstance(event, Remedied | Opened) for event in events())


@pytest.mark.parametrize(
    ("typed", "answer", "sure"),
    [
        ("1", "silent", "certain"),
        ("2f", "sound", "fairly"),
        ("2 F", "sound", "fairly"),
        ("0", "", "cant_tell"),
        ("s", "", "skipped"),
    ],
)
def test_answer_is_taken_as_typed(ask: Ask, typed: str, answer: str, sure: str) -> None:
    """A number, fairly sure, can't tell and later each become their event."""
    ask(*INTAKE, typed)
    given = events()[-1]
    assert isinstance(given, Answered)
    assert (given.check, given.answer, given.sure) == ("listen", answer, sure)


@pytest.mark.parametrize(
    ("typed", "value", "sure"),
    [("-2.5", -2.5, "certain"), ("-2,5%", -2.5, "certain"), ("\u22122.5 f", -2.5, "fairly")],
)
def test_number_is_read_as_people_type_it(ask: Ask, typed: str, value: float, sure: str) -> None:
    """Comma or point, with the unit or without, and a typographic minus."""
    ask(*INTAKE, "1", "a", "speed", "1", typed)
    given = events()[-1]
    assert isinstance(given, Measured)
    assert (given.value, given.sure) == (value, sure)


@pytest.mark.parametrize(
    "typed", ["3", "-1", "1.5", "nan", "\u0662", "9" * 5000, "\x00", "yes", "c", "c x"]
)
def test_what_is_no_answer_is_told_and_asked_again(ask: Ask, typed: str) -> None:
    """Nothing is written, and the step stays."""
    out = ask(*INTAKE, typed, "q")
    assert out.count("does not fit here") == 1
    assert len(events()) == 2


@pytest.mark.parametrize("typed", ["nan", "inf", "1e999", "fast", "1,2,3", "%", "\x00"])
def test_what_is_no_number_is_told_and_asked_again(ask: Ask, typed: str) -> None:
    """Where a number is asked for, only a finite one is taken."""
    out = ask(*INTAKE, "a", "speed", "1", typed, "q")
    assert out.count("does not fit here") == 1
    assert len(events()) == 2


def test_undo_and_redo_say_what_they_take_back(ask: Ask) -> None:
    """Both name the event, and the case is as before."""
    out = ask(*INTAKE, "1", "u", "r", "u", "r", "q")
    assert out.count("Taken back: Is there sound? None.") == 2
    assert out.count("Brought back: Is there sound? None.") == 2
    store = CaseStore(Path("cases.sqlite3"))
    assert len(store.events(only_case())) == 3 + 4


def test_everything_that_explains_changes_nothing(ask: Ask) -> None:
    """Causes, details, remarks, lists and help leave the case as it is."""
    out = ask(*INTAKE, "w", "c 1", "c 99", "v", "?", "a", "0", "m", "0", "l", "0", "g", "x", "0")
    assert len(events()) == 2
    for told in (
        "decibans",
        "Answers that would change",
        "There is no cause 99",
        "strap is set for another",
        "Remedies:",
    ):
        assert told in out


def test_note_and_layer_reach_the_case(ask: Ask) -> None:
    """A note is kept; a layer that is opened by hand has its danger read first."""
    ask(*INTAKE, "n", "Feet are gone", "l", "1", "n", "l", "1", "y", "l", "1", "y", "q")
    kinds = [type(event).__name__ for event in events()[2:]]
    assert kinds == ["Noted", "Acknowledged", "Opened", "Closed"]


def test_answers_that_disagree_are_told_once(ask: Ask) -> None:
    """Two certain answers on one sign are named, and not at every step again."""
    out = ask(*INTAKE, "a", "speed", "1", "0.2", "a", "shaft", "1", "y", "o", "1", "n", "odd", "q")
    assert [type(event).__name__ for event in events()[-2:]] == ["Answered", "Noted"]
    assert " ".join(out.split()).count("Two answers disagree on “too slow”") == 1


def test_lines_fit_a_narrow_terminal_and_steer_nothing(ask: Ask) -> None:
    """No line is longer than 78 columns and no control character is printed."""
    out = ask(*INTAKE, "w", "c 1", "1", "?", "a", "0", "y", "o", "1", "", "v", "q")
    assert max(map(len, out.splitlines())) <= 78
    assert all(sign.isprintable() for sign in out.replace("\n", ""))


def test_other_window_is_noticed(
    ask: Ask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A step that comes too late is told, and the case goes on from what is on disk."""
    case = taken_in(small_shelf(tmp_path / "other"))
    store = CaseStore(tmp_path / "other" / "cases.sqlite3")

    def lines() -> Iterator[str]:
        note = Noted(at=case.events[0].at, text="from elsewhere")
        store.append(case.case, note, after=len(case.events))
        yield from ("1\n", "1\n", "q\n")

    typed = lines()
    monkeypatch.setattr(
        "sys.stdin", SimpleNamespace(readline=lambda: next(typed), isatty=lambda: False)
    )
    where = ["--store", str(store.path), "--knowledge", str(tmp_path / "other" / "knowledge")]
    assert main(["ask", *where, "--case", case.case]) == 0
    assert "Another window has gone on with this case" in capsys.readouterr().out
    kinds = [type(event).__name__ for event in store.events(case.case)]
    assert kinds[-2:] == ["Noted", "Answered"]


def only_case() -> str:
    """The id of the only case."""
    (case,) = CaseStore(Path("cases.sqlite3")).cases()
    return case.id
