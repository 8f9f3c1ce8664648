"""`benchtrail measure`: figures of a recording, as text and as JSON."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from diag.measure.capture import write_capture
from diag.measure.catalogue import MEASURES, measure
from diag.measure.signals import MadeSound, tape_of
from diag.measure.sound import Samples
from diag.measure.test_signal import SERVED_BY, Rest, Tone
from screens.cli import measure as command
from screens.cli.main import main

Run = Callable[..., tuple[int, str, str]]
LEVELS = MadeSound((Tone(333, 8, -6.0, channels=(0,)), Rest(0)), 48_000)


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs `measure`; gives the exit code, stdout and stderr."""

    def call(*words: str) -> tuple[int, str, str]:
        code = main(["measure", *words])
        return code, *capsys.readouterr()

    return call


@pytest.fixture
def tone(tmp_path: Path) -> Path:
    """8 s of 333 Hz."""
    path = tmp_path / "tone.wav"
    tape = MadeSound((Tone(333, 8, -6.0),), 48_000)
    write_capture(path, tape)
    return path


def test_every_measurement_is_there() -> None:
    """What the command offers can be made, in the same order."""
    assert list(SERVED_BY) == list(MEASURES)


def test_list_says_what_each_needs(run: Run) -> None:
    """One line each."""
    code, out, _ = run()
    assert code == 0
    assert [line.split()[0] for line in out.splitlines()] == list(SERVED_BY)
    assert [one["name"] for one in json.loads(run("--json")[1])] == list(SERVED_BY)


def test_json_is_the_measurement(run: Run, tone: Path) -> None:
    """As it comes from the function itself, one object."""
    code, out, _ = run("level", str(tone), "--json")
    assert code == 0
    found = json.loads(out)
    wanted = measure("level", MadeSound((Tone(333, 8, -6.0),), 48_000)).as_json()
    assert set(found) == set(wanted)
    # The file has steps of 24 bits.
    assert found["balance_db"] == pytest.approx(wanted["balance_db"], abs=1e-4)
    # -6 dB of peak are -6 dB re a sine that fills the scale.
    assert found["level_dbfs"] == pytest.approx(-6, abs=0.02)


def test_text_gives_figures_with_their_uncertainty(run: Run, tone: Path) -> None:
    """And holds them against the least demands on hi-fi decks."""
    code, out, _ = run("level", str(tone))
    assert code == 0
    assert out.startswith("Level and balance\n")
    assert "  Balance, left over right: 0 dB" in out
    assert "± " in out
    assert "Against: Least demands on hi-fi tape recorders (din_45500)" in out
    assert "Balance of the channels, ±2 dB: pass, margin 2 dB" in out


def test_all_gives_what_can_be_and_why_not_the_rest(run: Run, tone: Path) -> None:
    """An object by measurement; errors under `refused`, with what to do."""
    code, out, _ = run("all", str(tone), "--json")
    assert code == 0
    found = json.loads(out)
    assert set(found) - {"refused"} | set(found["refused"]) == set(MEASURES)
    assert {"level", "distortion"} <= set(found)
    assert {"noise", "azimuth"} <= set(found["refused"])
    text = " ".join(run("all", str(tone))[1].split())
    assert "No noise: " in text
    assert found["refused"]["noise"] in text


def test_own_limits_decide_the_exit_code(run: Run, tone: Path, tmp_path: Path) -> None:
    """1 if one is not kept; JSON has the verdicts then."""
    spec = tmp_path / "mine.yaml"
    spec.write_text(
        "says: Mine\nsource: from_memory\nlimits:\n"
        "  level_dbfs: {says: Level, unit: dB, at_least: -3}\n"
        "  balance_db: {says: Balance, unit: dB, within: 1}\n"
    )
    code, out, _ = run("level", str(tone), "--spec", str(spec), "--json")
    assert code == 1
    assert [row["verdict"] for row in json.loads(out)["judged"]] == ["fail", "pass"]
    spec.write_text(spec.read_text().replace("at_least: -3", "at_least: -9"))
    assert run("level", str(tone), "--spec", str(spec))[0] == 0


def test_before_stands_beside_after(run: Run, tone: Path, tmp_path: Path) -> None:
    """In text and in JSON."""
    old = tmp_path / "old.wav"
    write_capture(old, MadeSound((Tone(333, 8, -9.0),), 48_000))
    out = " ".join(run("level", str(tone), "--before", str(old))[1].split())
    assert "(before: -9.0" in out
    assert "; before: pass" in out
    found = json.loads(run("level", str(tone), "--before", str(old), "--json")[1])
    assert found["level_dbfs"] - found["before"]["level_dbfs"] == pytest.approx(3, abs=0.01)


def test_one_channel_can_be_taken(run: Run, tmp_path: Path) -> None:
    """A tone in the left channel only; there is none in a mono file's right one."""
    path = tmp_path / "left.wav"
    write_capture(path, LEVELS)
    left = json.loads(run("distortion", str(path), "--channel", "left", "--json")[1])
    assert left["third_harmonic_percent"] < 0.01
    code, _, err = run("distortion", str(path), "--channel", "right")
    assert code == 2
    assert str(path) in err


def test_sizes_come_with_the_specification(run: Run, tmp_path: Path) -> None:
    """A roller's size that fits the flutter makes it likelier; one given by itself counts more."""
    at = np.arange(20 * 22_050) / 22_050
    turning = 47.625 / np.pi / 11.5
    swing = 1e-3 / (2 * np.pi * turning) * np.cos(2 * np.pi * turning * at)
    heard = np.sin(2 * np.pi * 3150 * (at - swing))
    path, spec = tmp_path / "tone.wav", tmp_path / "mine.yaml"
    write_capture(path, Samples(0.5 * heard[:, None], 22_050))
    spec.write_text(
        "says: Mine\nsource: from_memory\n"
        "limits:\n  speed_error_percent: {says: Speed, unit: '%', within: 1}\n"
        "sizes:\n  pinch_roller_mm: 11.5\n"
    )
    words = ("flutter", str(path), "--json")
    usual, sized, other = (
        json.loads(run(*words, *more)[1])["likely"].get("pinch roller", 0.0)
        for more in (
            (),
            ("--spec", str(spec)),
            ("--spec", str(spec), "--deck", "pinch_roller_mm=9"),
        )
    )
    assert other < 0.05 < usual < sized


def test_own_test_tape_goes_round(run: Run, tmp_path: Path) -> None:
    """What `signal` writes, `measure` finds."""
    path = tmp_path / "tape.wav"
    write_capture(path, tape_of(("level",), 44_100))
    found = json.loads(run("level", str(path), "--json")[1])
    assert found["level_dbfs"] == pytest.approx(-12, abs=0.02)
    assert "Separation from the left channel wasn't told" in " ".join(found["remarks"])
    assert "test signal 'level'" in found["remarks"][0]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("spede", "tone.wav"), "Did you mean 'speed'?"),
        (("level",), "no recording is named. benchtrail measure level FILE"),
        (("level", "none.wav"), "none.wav: there is no such file."),
        (("level", "text.wav"), "text.wav: this is no sound file"),
        (("noise", "tone.wav"), "tone.wav: "),
        (("level", "tone.wav", "--spec", "din_4550"), "Did you mean 'din_45500'?"),
        (("flutter", "tone.wav", "--deck", "capstan=2"), "Did you mean 'capstan_mm'?"),
        (("flutter", "tone.wav", "--deck", "capstan_mm=2 mm"), "'capstan_mm=2 mm' has no number"),
        (("flutter", "tone.wav", "--deck", "capstan_mm=99"), "Give 1 to 15; diameters in mm"),
        (("response", "tone.wav", "--tape", "sweep_120"), "Did you mean 'sweep_120_us'?"),
        (("response", "tone.wav"), "what is on the test tape isn't known"),
        (("noise", "tone.wav", "--reference", "none.wav"), "none.wav: there is no such file."),
    ],
)
def test_bad_call_is_told(
    run: Run, words: tuple[str, ...], told: str, tone: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Code 2, nothing on stdout, and what to do."""
    monkeypatch.chdir(tone.parent)
    Path("text.wav").write_text("no sound")
    code, out, err = run(*words)
    assert (code, out) == (2, "")
    assert told in err
    assert "Traceback" not in err


@pytest.mark.parametrize(
    "words",
    [("--nominal", "-5"), ("--nominal", "nan"), ("--mains", "x"), ("--reference-level", "inf")],
)
def test_number_that_means_nothing_is_refused(
    run: Run, words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    """Before any file is looked at."""
    with pytest.raises(SystemExit) as ended:
        run("speed", "none.wav", *words)
    assert ended.value.code == 2
    assert f"'{words[1]}' is no " in capsys.readouterr().err


def test_bar_is_shown_on_a_terminal_for_long_recordings(
    run: Run, tone: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And nowhere else."""
    assert run("level", str(tone))[2] == ""
    monkeypatch.setattr(command, "LONG_SECONDS", 1.0)
    assert run("level", str(tone))[2] == ""
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    assert "[##" in run("level", str(tone))[2]
