"""`benchtrail knowledge new` and `edit`: entries of one's own, written and checked on return."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from diag.model.book import Book
from diag.reading.book import read_book
from screens.cli.main import main

Run = Callable[..., tuple[int, str, str]]
FAMILY = """\
family: tape
says: Machines of this test
layers: {outside: {}}
intake: [brake_look]
"""
BRAKES = """\
basis: {prior: judgement, shows: judgement}
signs:
  brake_sticky: {says: the brake is sticky, leak: 0.01}
causes:
  # Felt and rubber both end like this.
  brake_drags:
    says: Brake sticky or not lifting
    prior: 0.05
    shows: {brake_sticky: 0.9}
    mended_by: [clean_brake]
checks:
  brake_look:
    ask: How is the brake?
    at: outside
    minutes: 1
    answers: {sticky: {present: [brake_sticky]}, right: {}}
remedies: {clean_brake: {says: Clean it, at: outside, minutes: 5, cures: 0.8}}
rules:
  - id: look_first
    when: {check: brake_look, is: sticky}
    then: [{cite: brake_first}]
thumbs:
  brake_first: {says: Brake first, source: common_practice}
"""
EDITOR = """\
import sys
from pathlib import Path
path = Path(sys.argv[-1])
path.write_text(path.read_text().replace({old!r}, {new!r}))
"""


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    """The user's own folder, empty; a book lies beside it."""
    (tmp_path / "book" / "tape").mkdir(parents=True)
    (tmp_path / "book" / "tape" / "family.yaml").write_text(FAMILY)
    (tmp_path / "book" / "tape" / "brakes.yaml").write_text(BRAKES)
    folder = tmp_path / "mine"
    folder.mkdir()
    return folder


def book(mine: Path, *, with_mine: bool = True) -> Book:
    """The book as it reads now."""
    return read_book(mine.parent / "book", "tape", mine if with_mine else None)


@pytest.fixture
def run(mine: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a knowledge command on that book; gives the exit code, stdout and stderr."""

    def call(*words: str) -> tuple[int, str, str]:
        at = ("--knowledge", str(mine.parent / "book"), "--additions", str(mine))
        return main(["knowledge", *words, *at]), *capsys.readouterr()

    return call


@pytest.fixture
def editor(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str, str], None]:
    """Makes the user's editor one that replaces a text by another."""

    def replaces(old: str, new: str) -> None:
        script = tmp_path / "editor.py"
        script.write_text(EDITOR.format(old=old, new=new))
        monkeypatch.delenv("VISUAL", raising=False)
        monkeypatch.setenv("EDITOR", f"{sys.executable} '{script}'")

    return replaces


def test_new_entry_counts_at_once_and_is_filled_in(
    run: Run, mine: Path, editor: Callable[[str, str], None]
) -> None:
    """Written into the user's folder; the path is data, what comes next is talk."""
    code, out, told = run("new", "cause", "magnet_lost")
    path = mine / "tape" / "cause_magnet_lost.yaml"
    assert (code, out) == (0, f"{path}\n")
    assert "knowledge edit" in told
    assert "magnet_lost" in book(mine).causes
    editor("The fault in a few words", "Counter magnet fallen off")
    code, out, told = run("edit", "magnet_lost")
    assert code == 0
    assert "says: The fault in a few words -> Counter magnet fallen off" in out
    assert book(mine).causes["magnet_lost"].says == "Counter magnet fallen off"


def test_shipped_entry_is_changed_in_a_copy(
    run: Run, mine: Path, editor: Callable[[str, str], None]
) -> None:
    """The copy stands in place of the shipped one, its figures with the basis that they had."""
    before = book(mine, with_mine=False).causes["brake_drags"]
    editor("says: Brake sticky", "says: Brake gummed")
    code, out, _ = run("edit", "brake_drags")
    after = book(mine).causes["brake_drags"]
    assert code == 0
    assert "says: Brake sticky or not lifting -> Brake gummed or not lifting" in out
    assert after.says.startswith("Brake gummed")
    assert after.basis == before.basis
    assert book(mine, with_mine=False).causes["brake_drags"] == before


def test_copy_that_nobody_changed_is_taken_away(
    run: Run, mine: Path, editor: Callable[[str, str], None]
) -> None:
    """Else it would hide every later change of the shipped entry."""
    editor("nothing of this", "kind")
    code, out, told = run("edit", "brake_drags")
    assert (code, out) == (0, "")
    assert "Nothing was changed" in told
    assert not list(mine.rglob("*.yaml"))


def test_mistake_is_told_with_its_line(
    run: Run, mine: Path, editor: Callable[[str, str], None]
) -> None:
    """Nothing of it is lost; without a terminal nobody is asked."""
    editor("shows:", "show:")
    code, out, told = run("edit", "causes/brake_drags")
    assert code == 1
    assert "additions/tape/causes_brake_drags.yaml:" in out
    assert "Did you mean 'shows'?" in out
    assert "left out until this is mended" in told
    (path,) = mine.rglob("*.yaml")
    assert "show:" in path.read_text()


def test_entry_of_any_section_can_be_copied(run: Run, editor: Callable[[str, str], None]) -> None:
    """A rule stands in a list; what shares its line with others can't be cut out."""
    editor("nothing of this", "kind")
    assert run("edit", "rules/look_first")[0] == 0
    assert run("edit", "thumbs/brake_first")[0] == 0
    code, _, told = run("edit", "clean_brake")
    assert code == 2
    assert "does not stand on lines of its own. Copy it by hand" in told


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("new", "cause", "brake_drags"), "has 'brake_drags' in causes already"),
        (("new", "cause", "Brake Drags"), "is no id"),
        (("new", "cause", "x", "--family", "tap"), "no family 'tap'"),
        (("edit", "brake_dragz"), "brake_drags"),
        (("edit", "brake_drags"), "can't be started"),
    ],
)
def test_wrong_call_is_told(
    run: Run, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], said: str
) -> None:
    """With what to do, and nothing written."""
    monkeypatch.setenv("VISUAL", "/no/such/editor")
    code, _, told = run(*words)
    assert code == 2
    assert said in told


def test_file_that_is_there_is_never_written_over(run: Run, mine: Path) -> None:
    """Two entries can't have one file."""
    path = mine / "tape" / "cause_magnet_lost.yaml"
    path.parent.mkdir()
    path.write_text("# mine\n")
    code, _, told = run("new", "cause", "magnet_lost")
    assert code == 2
    assert "There is a file of this name" in told
    assert path.read_text() == "# mine\n"
