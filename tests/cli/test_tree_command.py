"""`benchtrail tree`: printed, written, and every wrong call told."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from small_case import small_shelf

from screens.cli.main import main

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs `tree` on the small book; gives the exit code, stdout and stderr."""
    small_shelf(tmp_path)
    monkeypatch.chdir(tmp_path)

    def call(*words: str) -> tuple[int, str, str]:
        return main(["tree", *words, "--knowledge", "knowledge"]), *capsys.readouterr()

    return call


def test_tree_is_printed_as_plain_text(run: Run) -> None:
    """Title, deck, branches; nothing on stderr, as it does not take long."""
    code, out, told = run("no_sound", "--trait", "drive=belt", "--age", "45")
    assert (code, told) == (0, "")
    assert out.startswith("No sound\nMachines of this test; 45 years old, drive: belt.\n")
    assert "└─ " in out
    assert "min so far" in out


def test_depth_shortens_the_tree(run: Run) -> None:
    """A tree of one step is a part of the page of three."""
    short, long = run("drags", "--depth", "1")[1], run("drags", "--depth", "3")[1]
    assert "Steps: 1, " in short
    assert len(short) < len(long)


@pytest.mark.parametrize(("form", "begins"), [("md", "# No sound\n"), ("html", "<!DOCTYPE html>")])
def test_format_is_printed(run: Run, form: str, begins: str) -> None:
    """`--format` says how."""
    code, out, _ = run("no_sound", "--format", form)
    assert code == 0
    assert out.startswith(begins)


@pytest.mark.parametrize(
    ("words", "begins"),
    [
        (("--output", "wall.md"), "# No sound\n"),
        (("--output", "wall.HTML"), "<!DOCTYPE html>"),
        (("--output", "wall.txt"), "No sound\n"),
        (("--output", "wall.md", "--format", "html"), "<!DOCTYPE html>"),
    ],
    ids=["md", "html", "text", "format before ending"],
)
def test_ending_of_the_file_says_the_format(run: Run, words: tuple[str, ...], begins: str) -> None:
    """The file is new, where it is gets told, and a second time it is not written over."""
    code, out, told = run("no_sound", *words)
    assert (code, out, told) == (0, "", f"Written to {words[1]}.\n")
    written = Path(words[1]).read_text(encoding="utf-8")
    assert written.startswith(begins)
    code, _, told = run("drags", *words)
    assert code == 2
    assert "There is a file of this name." in told
    assert Path(words[1]).read_text(encoding="utf-8") == written


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("no_sund",), "the book has no symptom 'no_sund'. Did you mean 'no_sound'?"),
        (("no_sound", "--trait", "driv=belt"), "the book has no trait 'driv'. Did you mean"),
        (("no_sound", "--trait", "drive=belts"), "no value 'belts'. Did you mean 'belt'?"),
        (("no_sound", "--trait", "drive"), "'drive' is no trait. Write it as drive=belt."),
        (("no_sound", "--age", "-1"), "-1 is no age."),
        (("no_sound", "--age", "nan"), "nan is no age."),
        (("no_sound", "--family", "tap"), "tap"),
        (("no_sound", "--trait", "a\x1b[2J=b"), "\ufffd[2J"),
    ],
    ids=["symptom", "trait", "value", "no sign", "age", "no number", "family", "control character"],
)
def test_wrong_call_is_told_in_one_line(run: Run, words: tuple[str, ...], told: str) -> None:
    """What was found and the nearest that there is; nothing is printed as data."""
    code, out, err = run(*words)
    assert (code, out) == (2, "")
    assert told in err
    assert err.count("\n") == 1
    assert "\x1b" not in err


@pytest.mark.parametrize("depth", ["0", "13", "two"])
def test_depth_out_of_range_is_told(
    run: Run, depth: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The range is named."""
    with pytest.raises(SystemExit) as end:
        run("no_sound", "--depth", depth)
    assert end.value.code == 2
    assert "--depth" in capsys.readouterr().err


def test_symptom_of_two_books_asks_for_the_family(run: Run) -> None:
    """With `--family` it is clear which."""
    other = Path("knowledge", "wire")
    other.mkdir()
    for name in ("family.yaml", "belt.yaml"):
        text = Path("knowledge", "tape", name).read_text(encoding="utf-8")
        (other / name).write_text(text.replace("family: tape", "family: wire"), encoding="utf-8")
    code, _, told = run("no_sound")
    assert code == 2
    assert "tape, wire" in told
    assert "--family" in told
    assert run("no_sound", "--family", "wire")[0] == 0
