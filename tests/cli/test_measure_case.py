"""`benchtrail measure ... --case`: told first, and put into the case when asked."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from recordings import speed_found
from small_case import small_shelf, taken_in

from diag.cases.events import Captured
from diag.measure import catalogue
from diag.measure.capture import write_capture
from diag.measure.catalogue import Known
from diag.measure.result import Measurement
from diag.measure.sound import Samples, Sound
from diag.model.figures import Name, SourceId
from diag.model.specification import Limit, Specification
from diag.session.held_against import hold_against
from diag.session.session import Session
from screens.cli.main import main

Run = Callable[..., tuple[int, str, str]]
MINE = Specification(
    id="mine",
    says="Mine",
    source=SourceId("from_memory"),
    limits={
        Name("speed_error_percent"): Limit(
            id="speed_error_percent", says="Speed", unit="%", within=3
        )
    },
    sizes={Name("capstan_mm"): 2.4, Name("flywheel_mm"): 70.0},
)


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """The small case."""
    return taken_in(small_shelf(tmp_path))


@pytest.fixture
def run(session: Session, command: Run) -> Run:
    """Runs `measure` for the case, in a folder with recordings; gives exit code and output."""
    at = np.arange(8 * 22_050) / 22_050
    for name, hz in (("slow", 2925), ("between", 3075)):
        heard = 0.3 * np.sin(2 * np.pi * hz * at)
        write_capture(Path(f"{name}.wav"), Samples(heard[:, None], 22_050))
    write_capture(Path("silent.wav"), Samples(np.zeros((8 * 22_050, 1)), 22_050))

    def call(*words: str, case: str = session.case) -> tuple[int, str, str]:
        return command("measure", *words, "--case", case)

    return call


@pytest.fixture
def known(monkeypatch: pytest.MonkeyPatch) -> list[Known]:
    """What each measurement is told of the deck; nothing is measured."""
    found: list[Known] = []

    def noted(what: str, sound: Sound, knows: Known) -> Measurement:
        found.append(knows)
        return speed_found(0.1, 0.1)

    monkeypatch.setattr(catalogue, "measure", noted)
    return found


def captures(session: Session) -> list[Captured]:
    """The recordings that the case has kept."""
    return [event for _, event in session.reload().state.captures]


def test_figures_and_answers_are_told_and_nothing_goes_in_unasked(
    run: Run, session: Session
) -> None:
    """Then the numbered answer goes in with them."""
    code, out, told = run("speed", "slow.wav")
    assert code == 0
    assert f"Says to {session.case}:\n  1  What is the speed error? Too slow\n" in out
    assert not out.endswith("\n\n")
    assert "speed error: -2.50" in out
    assert "Nothing is written." in told
    assert captures(session) == []
    assert "the figures and 1 of these" in run("speed", "slow.wav", "--take", "1")[2]
    (kept,) = captures(session)
    ((reading,), figure) = kept.readings, kept.figures[0]
    assert (reading.check, reading.answer, reading.sure) == ("speed", "slow", "certain")
    assert figure.value == pytest.approx(-2.5, abs=0.01)
    assert kept.file == "slow.wav"
    assert session.snapshot.state.answers["speed"].answer == "slow"


def test_figures_alone_can_go_into_the_case(run: Run, session: Session) -> None:
    """With none of the answers."""
    assert run("all", "slow.wav", "--take", "none")[0] == 0
    kept = captures(session)
    assert "speed" in [each.what for each in kept]
    assert not any(each.readings for each in kept)


def test_json_has_figures_and_answers(run: Run, session: Session) -> None:
    """The measurement as without a case, and what it says to the case."""
    code, out, _ = run("speed", "slow.wav", "--take", "all", "--json")
    found = json.loads(out)
    assert code == 0
    assert found["speed_error_percent"] == pytest.approx(-2.5, abs=0.01)
    case = found["case"]
    assert (case["case"], case["written"]) == (session.case, True)
    (said,) = case["says"]
    assert (said["number"], said["id"], said["answer"]) == (1, "speed", "slow")
    assert (said["sure"], said["taken"]) == ("certain", True)
    assert said["value"] == found["speed_error_percent"]
    assert json.loads(run("speed", "slow.wav", "--json")[1])["case"]["written"] is False
    assert len(captures(session)) == 1


def test_tone_between_two_answers_once_it_is_named(run: Run, session: Session) -> None:
    """3075 Hz: with 3000 Hz on the tape it is fast, which this book calls right."""
    out = run("speed", "between.wav", "--take", "all")[1]
    assert "Says nothing to this case." in out
    assert "Which one is on the tape?" in " ".join(out.split())
    for nominal, answer in (("3000", "right"), ("3150", "slow")):
        run("speed", "between.wav", "--nominal", nominal, "--take", "all")
        (reading,) = captures(session)[-1].readings
        assert (reading.answer, reading.sure) == (answer, "certain")


def test_case_is_used_and_the_call_counts_first(
    run: Run, session: Session, known: list[Known]
) -> None:
    """Deck facts, sizes of the specification that was chosen, mains, and the speed so far."""
    hold_against(session, MINE)
    session.measure("speed", -2.0)
    out = run("azimuth", "slow.wav")[1]
    assert "Against: Mine (from_memory)" in out
    words = ("--mains", "60", "--speed-error", "1", "--deck", "capstan_mm=3")
    run("azimuth", "slow.wav", *words)
    told = [(each.mains_hz, each.geometry.drive, each.geometry.flywheel_mm) for each in known]
    assert told == [(50, "belt", 70), (60, "belt", 70)]
    assert [each.geometry.capstan_mm for each in known] == [2.4, 3]
    speeds = [each.speed_error_percent for each in known]
    assert [speed and speed[0] for speed in speeds] == [-2, 1]
    assert "Against: What this test wants" in run("azimuth", "slow.wav", "--spec", "din_45500")[1]


def test_deck_that_came_again_is_measured_at_its_nominal_speed(
    run: Run, session: Session, known: list[Known]
) -> None:
    """A speed from before the last repair is none of today's."""
    session.measure("speed", -2.0)
    session.mend("renew")
    run("azimuth", "slow.wav")
    assert known[0].speed_error_percent is None


def test_recording_that_allows_nothing_writes_nothing(run: Run, session: Session) -> None:
    """Why is told for each kind."""
    code, out, told = run("all", "silent.wav", "--take", "all")
    assert code == 1
    assert "No speed: " in out
    assert "Put into" not in told
    assert captures(session) == []


@pytest.mark.parametrize("numbers", ["2", "0", "1,7", "x", ""])
def test_number_that_is_not_there_writes_nothing(run: Run, session: Session, numbers: str) -> None:
    """And is told with those that are."""
    code, out, told = run("speed", "slow.wav", "--take", numbers)
    assert (code, out) == (2, "")
    assert "Give 1 to 1, all, or none." in told
    assert captures(session) == []


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "--case: there is no recording. Name WHAT and FILE."),
        (("speed",), "--case: there is no recording. Name WHAT and FILE."),
        (("speed", "slow.wav", "--before", "between.wav"), "--before: a case keeps its own"),
        (("speed", "none.wav", "--take", "all"), "none.wav: there is no such file."),
        (("speed", "silent.wav", "--take", "all"), "silent.wav: "),
    ],
)
def test_bad_call_is_told(run: Run, session: Session, words: tuple[str, ...], told: str) -> None:
    """Code 2, nothing on stdout, nothing written."""
    code, out, err = run(*words)
    assert (code, out) == (2, "")
    assert told in err
    assert captures(session) == []


def test_case_that_is_not_there_is_told(run: Run) -> None:
    """Before anything is measured, as by the other commands."""
    code, out, err = run("speed", "none.wav", case="nobody")
    assert (code, out) == (2, "")
    assert "nobody" in err
    assert "none.wav" not in err


def test_store_that_is_shut_is_told(run: Run) -> None:
    """As by the other commands."""
    Path("cases.sqlite3").write_text("no cases", encoding="utf-8")
    code, out, err = run("speed", "slow.wav", "--take", "all")
    assert (code, out) == (2, "")
    assert "cases.sqlite3" in err


def test_take_without_a_case_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    """It would be lost in silence."""
    assert main(["measure", "speed", "a.wav", "--take", "all"]) == 2
    assert "--case" in capsys.readouterr().err
