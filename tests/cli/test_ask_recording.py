"""Recordings on the plain bench, by the real measurements."""

from __future__ import annotations

import io
import wave
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from small_case import small_shelf, taken_in

from diag.cases.events import Captured, Event
from diag.cases.held_against import HeldAgainst
from diag.cases.store import CaseStore
from screens.cli.main import main

Ask = Callable[..., str]

CHOOSE_SPEED = ["a", "speed error", "1"]


@pytest.fixture
def ask(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Ask:
    """Types lines at a deck that is taken in; gives what was printed."""
    case = taken_in(small_shelf(tmp_path)).case
    monkeypatch.chdir(tmp_path)

    def run(*lines: str) -> str:
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        places = ["--store", "cases.sqlite3", "--knowledge", "knowledge"]
        assert main(["ask", *places, "--case", case]) == 0
        return " ".join(capsys.readouterr().out.split())

    return run


@pytest.fixture
def tone(tmp_path: Path) -> Path:
    """A tone of 3000 Hz from a deck that runs 2.5 % slow, in a folder of recordings."""
    path = tmp_path / "takes" / "Side A.wav"
    path.parent.mkdir()
    write_tone(path, 2925)
    return path


def write_tone(path: Path, hz: float) -> None:
    """Eight seconds of a tone with a little noise, on both channels."""
    at = np.arange(48_000 * 8) / 48_000
    sound = np.random.default_rng(3).normal(0, 1e-3, (len(at), 2))
    sound += 0.3 * np.sin(2 * np.pi * hz * at)[:, None]
    with wave.open(str(path), "wb") as file:
        file.setparams((2, 2, 48_000, 0, "NONE", ""))
        file.writeframes((sound * 32767).astype("<i2").tobytes())


def last_event() -> Event:
    """The last event of the only case."""
    store = CaseStore(Path("cases.sqlite3"))
    (case,) = store.cases()
    return store.events(case.id)[-1]


def test_check_is_answered_by_a_file(ask: Ask, tone: Path) -> None:
    """The card says how; figures and answer are shown before the case takes them."""
    out = ask(*CHOOSE_SPEED, f"p '{tone}'", "1", "y", "q")
    assert "p FILE: measure it from a recording, a WAV or FLAC file of a steady test tone" in out
    assert "Speed: what it answers: What is the speed error? Too slow" in out
    assert "-2.50" in out.partition("y: take them. f: figures only.")[0]
    last = last_event()
    assert isinstance(last, Captured)
    ((reading,), figure) = last.readings, last.figures[0]
    assert (reading.check, reading.answer, reading.sure) == ("speed", "slow", "certain")
    assert figure.value == pytest.approx(-2.5, abs=0.01)
    assert last.file == "Side A.wav"


@pytest.mark.parametrize(("typed", "kept"), [("f", True), ("n", False), ("", False)])
def test_figures_alone_or_nothing(ask: Ask, tone: Path, typed: str, kept: bool) -> None:
    """`f` leaves the check open; anything else but `y` writes nothing."""
    ask(*CHOOSE_SPEED, f"p {tone}", "1", typed, "q")
    last = last_event()
    assert isinstance(last, Captured) == kept
    assert getattr(last, "readings", ()) == ()


def test_file_is_asked_for_and_picked_from_its_folder(ask: Ask, tone: Path) -> None:
    """Without a path; 0 goes back."""
    out = ask(*CHOOSE_SPEED, "p", str(tone.parent), "1", "1", "y", "q")
    assert "Speed: which recording? A WAV or FLAC file of a steady test tone" in out
    assert isinstance(last_event(), Captured)
    out = ask("u", *CHOOSE_SPEED, "p", str(tone.parent), "0", "p", "", "q")
    assert "1 Side A.wav" in out
    assert not isinstance(last_event(), Captured)


def test_any_kind_is_measured_where_the_step_asks_for_none(ask: Ask, tone: Path) -> None:
    """All that it allows: the checks that it tells are answered, and the refused are told."""
    out = ask(f"p {tone}", "1", "1", "y", "q")
    assert "What to measure:" in out
    assert "Not from this recording: " in out
    last = last_event()
    assert isinstance(last, Captured)
    out = ask("x", "1", "", "q")
    assert "Speed error" in Path("deck-1.md").read_text(encoding="utf-8")


def test_response_asks_for_the_test_tape(ask: Ask, tone: Path) -> None:
    """One with our own signals is first; a tone alone is refused with what to do."""
    out = ask("p", "5", str(tone), "1", "q")
    assert "Which test tape?" in out
    assert "found by their lead-ins" in out
    assert "Side A.wav" in out
    assert "isn't known" in out
    assert not isinstance(last_event(), Captured)


@pytest.mark.parametrize("name", ["none.wav", "notes.txt"])
def test_file_that_is_no_recording_is_told(ask: Ask, tmp_path: Path, name: str) -> None:
    """And the step is asked again."""
    (tmp_path / "notes.txt").write_text("no sound", encoding="utf-8")
    out = ask(*CHOOSE_SPEED, f"p {name}", "-2.5", "q")
    assert name in out
    assert not isinstance(last_event(), Captured)
    assert getattr(last_event(), "check", "") == "speed"


def test_specification_is_chosen(ask: Ask) -> None:
    """Its limits are kept; 0 leaves things as they are."""
    assert "1 What this test wants (source: handbook)" in ask("e", "0", "q")
    assert not isinstance(last_event(), HeldAgainst)
    ask("e", "1", "q")
    last = last_event()
    assert isinstance(last, HeldAgainst)
    assert list(last.limits) == ["speed_error_percent", "weighted_peak_percent"]


@pytest.mark.parametrize(("typed", "percent"), [("1", -2.38), ("2", 2.5)])
def test_tone_in_doubt_is_asked_for(ask: Ask, tmp_path: Path, typed: str, percent: float) -> None:
    """3075 Hz lies between 3000 and 3150: what the person says decides, and nothing is doubted."""
    write_tone(tmp_path / "between.wav", 3075)
    shown = ask(*CHOOSE_SPEED, "p", "between.wav", typed, "y", "q")
    assert "Which tone is on the tape?" in shown
    found = last_event()
    assert isinstance(found, Captured)
    first = next(each for each in found.figures if each.key == "speed_error_percent")
    assert first.value == pytest.approx(percent, abs=0.02)
    assert not any("otherwise" in each.key for each in found.figures)
