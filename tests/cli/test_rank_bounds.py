"""`benchtrail rank` where the answer is bounded instead of exact."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from diag.inference import posterior
from screens.cli.main import main

CASE = """
family: cassette
deck: {age: 40}
symptoms: [pitch_wobbles]
answers: {wind_moves: neither, pitch_by_ear: wavers, sound_in_play: weak_one}
"""


def ranked(folder: Path, capsys: pytest.CaptureFixture[str], *more: str) -> str:
    """What the command prints of the case."""
    path = folder / "case.yaml"
    path.write_text(CASE, encoding="utf-8")
    assert main(["rank", str(path), *more]) == 0
    return capsys.readouterr().out


def test_bounds_of_every_cause_are_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Past the widest sweep, JSON has an interval around each exact probability; text says it."""
    exact: dict[str, Any] = json.loads(ranked(tmp_path, capsys, "--json"))
    assert exact["bounds"] is None
    for limit in ("WIDEST", "EASY"):
        monkeypatch.setattr(posterior, limit, 1)
    found: dict[str, Any] = json.loads(ranked(tmp_path, capsys, "--json"))
    truth = {cause["id"]: cause["probability"] for cause in exact["causes"]}
    assert found["bounds"]
    for cause, (low, high) in found["bounds"].items():
        assert low <= truth[cause] <= high
    assert any(high - low > 1e-3 for low, high in found["bounds"].values())
    text = ranked(tmp_path, capsys)
    assert " % (between " in text
