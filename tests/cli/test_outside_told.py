"""What lies outside the book, as `rank` and the plain prompts tell it."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest
from small_case import small_shelf, taken_in

from screens.cli.main import main

SILENT = """
family: tape
deck: {age: 45, drive: belt, strap_hz: 60, local_hz: 50}
symptoms: [no_sound]
answers: {listen: silent}
then: [{mended: renew, answers: {listen: silent}%s}]
"""
"""A deck that is silent with a new belt."""

TOLD = "Outside the book: 'no sound' stays, and no fault that the book knows accounts for it (42 %)"


def ranked(folder: Path, capsys: pytest.CaptureFixture[str], *more: str, measured: str = "") -> str:
    """What the command prints of the deck, with or without its speed measured."""
    path = folder / "case.yaml"
    path.write_text(SILENT % measured, encoding="utf-8")
    assert main(["rank", str(path), "--knowledge", str(folder / "knowledge"), *more]) == 0
    return capsys.readouterr().out


def test_rank_tells_what_lies_outside_the_book(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """JSON has sign, words and chance, and text the sentence."""
    small_shelf(tmp_path)
    measured = ", measured: {speed: 0.0}"
    read: dict[str, Any] = json.loads(ranked(tmp_path, capsys, "--json", measured=measured))
    (outside,) = read["outside"]
    assert (outside["sign"], outside["says"]) == ("silent", "no sound")
    assert 0.415 <= outside["probability"] < 0.425
    assert TOLD in ranked(tmp_path, capsys, measured=measured)


def test_rank_tells_nothing_of_it_while_a_step_is_worth_its_minutes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """JSON has an empty list, and text no word of it."""
    small_shelf(tmp_path)
    read: dict[str, Any] = json.loads(ranked(tmp_path, capsys, "--json"))
    assert read["outside"] == []
    assert "Outside the book" not in ranked(tmp_path, capsys)


def test_plain_prompts_tell_it_once_before_the_step(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """It stands before the step that is not worth it, and is not said again with each prompt."""
    session = taken_in(small_shelf(tmp_path))
    session.answer("listen", "silent")
    session.mend("renew")
    session.answer("listen", "silent")
    session.measure("speed", 0.0)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", io.StringIO("\nn\na note\nq\n"))
    call = ["ask", "--store", "cases.sqlite3", "--knowledge", "knowledge", "--case", session.case]
    assert main(call) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert said.count(f"! {TOLD}") == 1
    assert said.partition(TOLD)[2].count("costs more than it saves") > 1
    assert "costs more than it saves" not in said.partition(TOLD)[0]
