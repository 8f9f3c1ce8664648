"""Every command lays the user's own entries over the book in the same way."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from small_case import small_shelf, taken_in

from diag.session.shelf import Shelf
from diag.trail.html import html
from diag.trail.json_file import json_text
from diag.trail.markdown import markdown
from diag.trail.trail import Trail
from screens.cli.main import main, parser
from screens.cli.places import additions_root

MINE = """\
causes:
  worn_belt:
    says: Belt turned to tar
    prior: 0.4
    shows: {silent: 0.6, slow: 0.5, belt_slack: 0.9}
    mended_by: [renew, scrape]
checks:
  look_belt:
    ask: Does the belt stick to the finger?
    at: lid
    minutes: 1
    answers: {hangs: {says: It does, present: [belt_slack]}, firm: {says: No}}
remedies: {scrape: {says: Scrape it off, minutes: 30, at: lid, cures: 0.9}}
"""
CASE = "family: tape\nsymptoms: [no_sound]\nanswers: {listen: silent}\n"

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command beside a small book, additions to it and a case; gives code and output."""
    small_shelf(tmp_path)
    monkeypatch.chdir(tmp_path)
    put(MINE)
    Path("case.yaml").write_text(CASE, encoding="utf-8")

    def call(*words: str) -> tuple[int, str, str]:
        return main([*words, "--knowledge", "knowledge"]), *capsys.readouterr()

    return call


def put(text: str, family: str = "tape") -> None:
    """Write the additions."""
    path = Path("mine") / family / "my.yaml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


ADDED = ("--additions", "mine")


def test_rank_and_show_read_additions(run: Run) -> None:
    """A book that is named is taken as it is, unless additions are named as well."""
    assert "Belt turned to tar" not in run("rank", "case.yaml")[1]
    assert "Belt turned to tar" in run("rank", "case.yaml", *ADDED)[1]
    code, out, err = run("knowledge", "show", "scrape", *ADDED)
    assert (code, err) == (0, "")
    assert "additions/tape/my.yaml" in out


def test_check_tells_additions_and_what_they_replace(run: Run) -> None:
    """The shipped book stays what it was; the user sees what is theirs."""
    code, out, _ = run("knowledge", "check", *ADDED)
    assert code == 0
    assert "3 of them your additions" in out
    assert "causes.worn_belt, checks.look_belt." in out
    assert "additions" not in run("knowledge", "check")[1]


def test_check_names_problems_of_additions(run: Run) -> None:
    """As it does those of the book, and a folder that no family has."""
    put(MINE.replace("[renew, scrape]", "[renew, scrap]"))
    put("signs: {}", "taep")
    code, out, _ = run("knowledge", "check", *ADDED)
    assert code == 1
    assert "additions/tape/my.yaml:6: 'scrap' is not in remedies. Did you mean 'scrape'?" in out
    assert "additions/taep:1: there is no family 'taep'" in out


def test_spoilt_additions_are_left_out_and_told(run: Run) -> None:
    """The command does its work by the book alone; why stands on stderr."""
    put(MINE.replace("[renew, scrape]", "[renew, scrap]"))
    code, out, err = run("rank", "case.yaml", *ADDED)
    assert code == 0
    assert out == run("rank", "case.yaml", "--no-additions")[1]
    assert "additions/tape/my.yaml:6: 'scrap'" in err
    assert "Your additions to the book are left out until they are mended: 1 problem(s)." in err


def test_folder_that_is_not_there_is_told(run: Run) -> None:
    """Only one that is named; nobody has to have additions."""
    code, _, err = run("rank", "case.yaml", "--additions", "nowhere")
    assert code == 2
    assert "nowhere: there is no such folder." in err


def test_own_folder_is_that_of_the_user(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is laid over the shipped book, if it is there and not declined."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    plain = parser().parse_args(["rank", "x"])
    assert additions_root(plain) is None
    own = tmp_path / "benchtrail" / "knowledge"
    own.mkdir(parents=True)
    assert additions_root(plain) == own
    assert additions_root(parser().parse_args(["rank", "x", "--no-additions"])) is None
    assert additions_root(parser().parse_args(["rank", "x", "--knowledge", "y"])) is None


def test_rule_that_cannot_be_run_is_left_out_as_well(run: Run) -> None:
    """The book reads, but the engine refuses the rule; the shelf works on without additions."""
    ways = ", ".join(f"{{fact: strap_hz, is: {hz}}}" for hz in range(300))
    put(f"rules:\n  - id: too_many\n    when: {{any: [{ways}]}}\n    then: [{{cite: belts_age}}]\n")
    shelf = Shelf(Path("cases.sqlite3"), Path("knowledge"), Path("mine"))
    assert "too_many" not in shelf.book("tape").rules
    error = shelf.additions_error()
    assert error is not None
    assert str(error).startswith("additions/tape/my.yaml:2: The rule 'too_many' has 300 ways")
    assert taken_in(shelf).snapshot.assessment is not None
    assert run("case", "list")[0] == 0


@pytest.fixture
def trails(run: Run) -> tuple[Trail, Trail]:
    """The trail of one case by the book alone, and by the book with additions."""
    shelf = Shelf(Path("cases.sqlite3"), Path("knowledge"))
    session = taken_in(shelf)
    session.answer("listen", "silent")
    mine = Shelf(Path("cases.sqlite3"), Path("knowledge"), Path("mine")).reopen(session.case)
    mine.open("lid")
    mine.answer("look_belt", "hangs")
    mine.mend("scrape")
    return session.tell_trail(), mine.tell_trail()


def test_trail_marks_what_comes_from_additions(trails: tuple[Trail, Trail]) -> None:
    """After causes, checks and remedies, with a line that explains the mark; nowhere else."""
    plain, mine = trails
    for render in (markdown, html):
        assert "your addition" not in render(plain)
        told = render(mine)
        assert "Belt turned to tar (your addition)" in told
        assert "It does. (your addition)" in told
        assert "Scrape it off (your addition)" in told
        assert "Dry shaft (your addition)" not in told
        assert told.count("from your own additions to the book") == 1


def test_trail_as_json_tells_additions(trails: tuple[Trail, Trail]) -> None:
    """Each part says whether it is one."""
    plain, mine = (json.loads(json_text(trail)) for trail in trails)
    assert {b["says"] for b in mine["ranking"] if b["is_addition"]} == {"Belt turned to tar"}
    assert [r["is_addition"] for r in mine["remedies"]] == [True]
    assert not any(part["is_addition"] for part in (*plain["ranking"], *plain["steps"]))
