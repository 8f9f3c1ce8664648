"""`benchtrail knowledge diff`: what changed between two folders, and which cases moved."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from shutil import copytree

import pytest

from screens.cli.main import main

FAMILY = """\
family: tape
says: Machines of this test
layers: {outside: {}}
symptoms:
  slow: {says: Runs slow, signs: [speed_low]}
"""
BELT = """\
signs:
  speed_low: {says: the tape runs slow, leak: 0.01}
  belt_long: {says: the belt hangs, leak: 0.01}
causes:
  belt_old:
    says: Belt stretched
    prior: {20: 0.1, 45: 0.3}
    shows: {speed_low: 0.6, belt_long: 0.9}
    mended_by: [new_belt]
  motor_worn:
    says: Motor worn
    prior: 0.1
    shows: {speed_low: 0.9}
checks:
  belt_look:
    ask: Does the belt hang?
    at: outside
    minutes: 3
    answers: {yes: {present: [belt_long]}, no: {}}
remedies:
  new_belt: {says: Fit a belt, at: outside, minutes: 20, cures: 0.9}
"""
CASE = """\
family: tape
deck: {age: 45}
symptoms: [slow]
answers: {belt_look: no}
"""
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def folders(tmp_path: Path) -> tuple[Path, Path]:
    """The same book twice, with one worked case beside it."""
    old, new = tmp_path / "old", tmp_path / "new"
    (old / "tape").mkdir(parents=True)
    (old / "tape" / "family.yaml").write_text(FAMILY)
    (old / "tape" / "belt.yaml").write_text(BELT)
    copytree(old, new)
    cases = tmp_path / "cases"
    cases.mkdir()
    (cases / "slow_deck.yaml").write_text(CASE)
    (cases / "cases.yaml").write_text("slow_deck: {truth: [motor_worn], says: Slow.}\n")
    return old, new


@pytest.fixture
def diff(folders: tuple[Path, Path], capsys: pytest.CaptureFixture[str]) -> Run:
    """Compares the two; gives the exit code, stdout and stderr."""

    def call(*words: str) -> tuple[int, str, str]:
        return main(["knowledge", "diff", *map(str, folders), *words]), *capsys.readouterr()

    return call


def change(folders: tuple[Path, Path], old: str, new: str) -> None:
    """Change the newer book."""
    file = folders[1] / "tape" / "belt.yaml"
    text = file.read_text()
    assert old in text
    file.write_text(text.replace(old, new))


def test_same_book_has_not_changed(folders: tuple[Path, Path], diff: Run) -> None:
    """Nor does it when an entry moves to another line."""
    change(folders, "causes:", "\n\n# moved\ncauses:")
    code, out, told = diff()
    assert (code, out) == (0, "tape: nothing changed.\n")
    assert "--cases" in told


def test_figures_are_told_old_and_new(folders: tuple[Path, Path], diff: Run) -> None:
    """A prior by its age, a link by its sign, an entry that is new, one that is gone."""
    change(folders, "45: 0.3", "45: 0.4")
    change(folders, "belt_long: 0.9", "belt_long: 0.95")
    change(
        folders,
        "remedies:",
        "remedies:\n  dress_belt: {says: Dress it, at: outside, minutes: 2, cures: 0.1}",
    )
    change(folders, "  motor_worn:", "  belt_old_too:")
    out = diff()[1]
    assert "tape: 2 added, 1 changed, 1 removed.\n" in out
    assert "    prior at 45 years: 0.3 -> 0.4\n" in out
    assert "    shows.belt long: 0.9 -> 0.95\n" in out
    assert "remedy dress_belt added: Dress it\n" in out
    assert "cause motor_worn removed: Motor worn\n" in out


def test_words_behind_a_figure_are_told_on_request(folders: tuple[Path, Path], diff: Run) -> None:
    """They change no answer, so that they only count at first."""
    change(folders, "    prior: 0.1\n", "    prior: 0.1\n    basis: {prior: judgement}\n")
    assert diff()[1] == "tape: 1 changed.\n"
    assert "basis.prior: judgement (new)" in diff("--basis")[1]


def test_worked_cases_that_moved_are_named(folders: tuple[Path, Path], diff: Run) -> None:
    """The motor leads once the belt was seen to be good; made rare, it comes after the belt."""
    cases = str(folders[0].parent / "cases")
    assert "Worked cases: 1, of which 0 moved.\n" in diff("--cases", cases)[1]
    change(folders, "    prior: 0.1\n", "    prior: 0.001\n")
    out = diff("--cases", cases)[1]
    assert "Worked cases: 1, of which 1 moved.\n" in out
    assert "  slow_deck: motor_worn from place 1 to 2\n" in out


def test_case_that_the_newer_book_cant_read_is_named(folders: tuple[Path, Path], diff: Run) -> None:
    """An answer that is gone makes the case unreadable; that is a move, not an end."""
    change(folders, "answers: {yes:", "answers: {hangs:")
    change(folders, "no: {}", "straight: {}")
    assert "slow_deck: can't be read:" in diff("--cases", str(folders[0].parent / "cases"))[1]


def test_families_that_come_and_go(folders: tuple[Path, Path], diff: Run) -> None:
    """A family that stands in one folder only is named, not compared."""
    (folders[1] / "tape").rename(folders[1] / "reel")
    text = (folders[1] / "reel" / "family.yaml").read_text()
    (folders[1] / "reel" / "family.yaml").write_text(text.replace("family: tape", "family: reel"))
    assert diff()[1] == "reel: a new family.\ntape: this family is gone.\n"


def test_folder_without_a_family_is_told(folders: tuple[Path, Path], diff: Run) -> None:
    """What was found, where, and what to do."""
    (folders[1] / "tape" / "family.yaml").unlink()
    code, _, told = diff()
    assert code == 2
    assert "there is no family here. Name a folder" in told
