"""`benchtrail signal`: lists, explains and writes test signals."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from diag.measure.capture import open_capture
from diag.measure.test_signal import SIGNALS
from screens.cli.main import main

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs `signal`; gives the exit code, stdout and stderr."""

    def call(*words: str) -> tuple[int, str, str]:
        code = main(["signal", *words])
        return code, *capsys.readouterr()

    return call


def test_list_has_a_line_for_each_signal(run: Run) -> None:
    """With its length; all of them together last."""
    code, out, _ = run()
    assert code == 0
    assert [line.split()[0] for line in out.splitlines()] == [*SIGNALS, "all"]
    assert "speed        2:00  3150 Hz" in out
    listed = json.loads(run("--json")[1])
    assert [one["name"] for one in listed] == list(SIGNALS)


def test_signal_says_what_it_can_and_cannot_show(run: Run) -> None:
    """Before anything is written."""
    code, out, _ = run("erase")
    assert code == 0
    plain = " ".join(out.split())
    assert SIGNALS["erase"].proves in plain
    assert SIGNALS["erase"].cannot in plain
    assert "0 dB mark" in plain


def test_signal_is_written_once(run: Run, tmp_path: Path) -> None:
    """At the rate that was asked, and over another file only by force."""
    path = tmp_path / "tape.wav"
    code, _, err = run("distortion", str(path), "--rate", "44100")
    assert code == 0
    assert f"Written to {path}: 0:34 min at 44100 Hz." in err
    capture = open_capture(path)
    assert (capture.rate_hz, capture.channels) == (44_100, 2)
    before = path.read_bytes()
    code, out, err = run("distortion", str(path))
    assert (code, out) == (2, "")
    assert "There is a file of this name." in err
    assert path.read_bytes() == before
    assert run("distortion", str(path), "--force")[0] == 0
    assert open_capture(path).rate_hz == 48_000


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("spede",), "Did you mean 'speed'?"),
        (("speed", "tape.mp3"), "ends in .wav"),
        (("speed", "none/tape.wav"), "can't be written"),
        (("speed", "tape.wav", "--rate", "8000"), "8000 Hz is no rate that is written"),
    ],
)
def test_bad_call_is_told(
    run: Run, words: tuple[str, ...], told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A wrong call ends with code 2, nothing on stdout, and nothing written."""
    monkeypatch.chdir(tmp_path)
    code, out, err = run(*words)
    assert (code, out) == (2, "")
    assert told in err
    assert not list(tmp_path.iterdir())
