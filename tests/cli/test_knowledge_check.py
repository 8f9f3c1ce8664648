"""`benchtrail knowledge check`: doubts, their counts, and what it tells the shell."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from small_case import small_shelf

from screens.cli.main import main

Run = Callable[..., tuple[int, list[str], str]]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs the check on the small book; gives the exit code, the lines, and stderr."""
    small_shelf(tmp_path)
    monkeypatch.chdir(tmp_path)

    def call(*words: str) -> tuple[int, list[str], str]:
        code = main(["knowledge", "check", "knowledge", *words])
        out, told = capsys.readouterr()
        return code, out.splitlines(), told

    return call


def test_doubts_are_told_and_counted_by_code(run: Run) -> None:
    """Exit 0; each count at the end is the number of lines of that code above.

    The figures: 3 leaks, 2 priors, 4 links, 1 factor, 4 and 2 minutes, 2 cures, 2 of the lid.
    """
    code, lines, _ = run()
    assert code == 0
    counted = {words[1]: int(words[0]) for line in lines if (words := line.split())[0].isdigit()}
    total = counted.pop("doubt(s)")
    told = [line.split()[1] for line in lines if ".yaml:" in line]
    assert counted == {name: told.count(name) for name in told}
    assert total == len(told) > 0
    assert counted["B09"] == 2
    assert lines[-1].startswith("tape: 2 causes, 4 checks, ")
    assert lines[-1].endswith("figures with a basis: 0 of 20. It can be used.")


def test_one_code_is_told_by_itself(run: Run) -> None:
    """In small letters as well; the count says of what."""
    code, lines, _ = run("--doubts", "b09")
    assert code == 0
    assert [line.split()[1] for line in lines if ".yaml:" in line] == ["B09", "B09"]
    assert "    2  doubt(s) of B09" in lines


def test_strict_call_fails_on_a_doubt(run: Run) -> None:
    """Of that code, if one is named; quiet or not."""
    assert run("--strict")[0] == 1
    assert run("--strict", "--quiet")[0] == 1
    assert run("--strict", "--doubts", "B09")[0] == 1
    assert run("--strict", "--doubts", "B12")[0] == 0


def test_quiet_call_tells_no_doubt(run: Run) -> None:
    """One line."""
    code, lines, _ = run("--quiet")
    assert (code, len(lines)) == (0, 1)


def test_unknown_code_is_told(run: Run) -> None:
    """With those that there are."""
    code, lines, told = run("--doubts", "B99")
    assert (code, lines) == (2, [])
    assert "B99" in told
    assert "B01, B02" in told


def test_doubt_of_a_shared_entry_is_told_once(run: Run) -> None:
    """The family that takes it over tells only what is doubtful in it alone."""
    family = Path("knowledge", "wire")
    family.mkdir()
    own = "signs: {hot: {says: it is hot, leak: 0.01}}"
    head = f"family: wire\nsays: Others\ntakes_from: [tape]\nfinal_test: [listen]\n{own}\n"
    (family / "family.yaml").write_text(head, encoding="utf-8")
    code, lines, _ = run("--doubts", "B24")
    told = [line for line in lines if ".yaml:" in line]
    assert code == 0
    assert len(told) == len(set(told))
    assert [line for line in told if line.startswith("wire")] == [
        "wire/family.yaml:5: B24 hot: no basis for leak."
    ]
