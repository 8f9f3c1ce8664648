"""`benchtrail case`: list, show, export and import; and the bare command without a terminal."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from small_case import small_shelf, taken_in, worked_on

from diag.cases.store import CaseStore
from diag.session.session import Session
from screens.cli.main import main

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """A case in the store of the test."""
    return worked_on(taken_in(small_shelf(tmp_path), name="Deck: 1/A"))


@pytest.fixture
def run(session: Session, command: Run) -> Run:
    """Runs a `case` command; gives the exit code, stdout and stderr."""
    return partial(command, "case")


def test_list_has_a_line_for_each_case(run: Run, session: Session) -> None:
    """Id, time, family, events and name; an empty store says how to begin."""
    code, out, _ = run("list")
    assert code == 0
    assert out.split() == [
        session.case,
        "2026-03-01",
        "09:14",
        "tape",
        "16",
        "events",
        "Deck:",
        "1/A",
    ]
    code, out, told = run("list", store="empty.sqlite3")
    assert (code, out) == (0, "")
    assert "benchtrail ask" in told


def test_show_prints_the_trail(run: Run, session: Session) -> None:
    """The trail of the case as Markdown."""
    code, out, _ = run("show", session.case)
    assert code == 0
    assert out.startswith("# Deck: 1/A\n")
    assert out.count("\n## ") >= 5


@pytest.mark.parametrize(
    ("form", "name", "begins"),
    [
        ("markdown", "deck-1-a.md", "# Deck"),
        ("html", "deck-1-a.html", "<!DOCTYPE html>"),
        ("json", "deck-1-a.json", '{\n  "benchtrail_trail": 1'),
        ("case", "deck-1-a.case.json", '{\n "benchtrail_case": 1'),
    ],
)
def test_export_writes_a_file_named_after_the_deck(
    run: Run, session: Session, form: str, name: str, begins: str
) -> None:
    """Each format has its ending; a second export writes over nothing and exits with 2."""
    code, _, told = run("export", session.case, "--format", form)
    assert (code, told) == (0, f"Written to {name}.\n")
    written = Path(name).read_text(encoding="utf-8")
    assert written.startswith(begins)
    code, _, told = run("export", session.case, "--format", form)
    assert code == 2
    assert told == f"{name}: There is a file of this name. Choose another name.\n"
    assert Path(name).read_text(encoding="utf-8") == written


def test_export_writes_where_it_is_asked_to(run: Run, session: Session, tmp_path: Path) -> None:
    """`--to` names the file."""
    assert run("export", session.case, "--format", "json", "--to", "there.txt")[0] == 0
    assert json.loads((tmp_path / "there.txt").read_text())["case"] == session.case


def test_import_brings_a_case_to_another_store(run: Run, session: Session) -> None:
    """The id is printed, the events are the same, and the same case is not taken in twice."""
    run("export", session.case, "--format", "case", "--to", "a.case.json")
    code, out, told = run("import", "a.case.json", store="other.sqlite3")
    assert (code, out, told) == (0, f"{session.case}\n", "Taken in as a case of its own.\n")
    assert CaseStore(Path("other.sqlite3")).events(session.case) == session.events
    code, out, told = run("import", "a.case.json", store="other.sqlite3")
    assert (code, out, told) == (0, f"{session.case}\n", "This case was here already.\n")


def test_bare_command_without_terminal_says_what_to_call(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It names the plain bench and the demo, exits with 2, and makes no store."""
    assert main(["--store", str(tmp_path / "new.sqlite3")]) == 2
    told = capsys.readouterr().err
    assert "benchtrail ask" in told
    assert "demo --plain" in told
    assert not (tmp_path / "new.sqlite3").exists()
