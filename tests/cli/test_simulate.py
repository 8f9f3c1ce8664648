"""`benchtrail knowledge simulate` on a small book: figures, pages, and every wrong call told."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from small_case import small_shelf

from screens.cli.main import main

Run = Callable[..., tuple[int, str, str]]

FEW = ("--decks", "3", "--policy", "planner", "--policy", "clairvoyant", "--jobs", "1")


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs `knowledge simulate` on the small book; gives the exit code, stdout and stderr."""
    small_shelf(tmp_path)
    monkeypatch.chdir(tmp_path)

    def call(*words: str) -> tuple[int, str, str]:
        try:
            code = main(["knowledge", "simulate", *words, "--knowledge", "knowledge"])
        except SystemExit as end:  # argparse refuses a call that it can't read
            code = int(end.code or 0)
        return code, *capsys.readouterr()

    return call


def figures(run: Run, *words: str) -> dict[str, Any]:
    """The JSON of a call."""
    code, out, _ = run(*FEW, *words, "--json")
    assert code == 0
    found: dict[str, Any] = json.loads(out)
    return found


def test_json_tells_what_was_tried_and_how_each_way_of_working_did(run: Run) -> None:
    """Decks, seed, figures of every policy that was asked for, and how true the chances were."""
    found = figures(run, "--seed", "7")
    assert (found["decks"], found["seed"], found["symptom"]) == (3, 7, None)
    assert set(found["policies"]) == {"planner", "clairvoyant"}
    planner = found["policies"]["planner"]
    assert {
        "mean_minutes",
        "p90_minutes",
        "ratio_to_clairvoyant",
        "ratio_interval",
        "all_mended_share",
        "loops",
    } <= planner.keys()
    assert planner["mean_minutes"] >= found["policies"]["clairvoyant"]["mean_minutes"] > 0
    assert 0 <= planner["all_mended_share"] <= 1
    assert {"brier", "ece"} <= found["calibration"].keys()
    assert found["mean_faults"] > 0


def test_same_seed_gives_the_same_figures(run: Run) -> None:
    """Letter for letter, with one process as with two; another seed gives other decks."""
    first = run(*FEW, "--seed", "7", "--json")[1]
    assert run(*FEW, "--seed", "7", "--json")[1] == first
    assert run(*FEW, "--seed", "7", "--json", "--jobs", "2")[1] == first
    other = json.loads(run(*FEW, "--seed", "8", "--json")[1])
    assert other["policies"] != json.loads(first)["policies"]


def test_symptom_and_faults_narrow_the_decks(run: Run) -> None:
    """Every deck has what was asked for."""
    found = figures(run, "--symptom", "drags", "--faults", "2")
    assert found["symptom"] == "drags"
    assert found["mean_faults"] == 2


def test_text_names_each_way_of_working_and_progress_goes_elsewhere(run: Run) -> None:
    """The table is on stdout; the decks done are counted on stderr."""
    code, out, told = run(*FEW)
    assert code == 0
    assert "planner" in out
    assert "clairvoyant" in out
    assert "textbook" not in out
    assert told.splitlines()[-1] == "3 of 3 decks"
    assert "of 3 decks" not in out


def test_page_is_written_beside_the_figures_but_never_over_a_file(run: Run) -> None:
    """A file that is there stays as it is, and the call ends with 2."""
    code, out, told = run(*FEW, "--html", "page.html")
    assert code == 0
    assert out
    assert told.endswith("Written to page.html.\n")
    page = Path("page.html").read_text(encoding="utf-8")
    assert "planner" in page
    code, out, told = run(*FEW, "--seed", "2", "--html", "page.html")
    assert (code, out) == (2, "")
    assert "There is a file of this name." in told
    assert Path("page.html").read_text(encoding="utf-8") == page


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--symptom", "drag"), "the book has no symptom 'drag'. Did you mean 'drags'?"),
        (("--family", "tap"), "tap"),
        (("--faults", "40-50"), "40 to 50 faults"),
    ],
    ids=["symptom", "family", "faults that no deck has"],
)
def test_what_the_book_can_not_give_is_told(run: Run, words: tuple[str, ...], told: str) -> None:
    """What was found and the nearest that there is; exit code 2, and no figures."""
    code, out, err = run(*FEW, *words)
    assert (code, out) == (2, "")
    assert told in err
    assert "Traceback" not in err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--faults", "4-1"), "'4-1' goes down; write the smaller number first"),
        (("--faults", "0-2"), "'0' is no whole number above 0"),
        (("--faults", "some"), "'some' is no whole number above 0"),
        (("--decks", "0"), "'0' is no whole number above 0"),
        (("--decks", "-3"), "'-3' is no whole number above 0"),
        (("--jobs", "0"), "'0' is no whole number above 0"),
        (("--policy", "luck"), "planner"),
    ],
)
def test_number_that_means_nothing_is_refused(run: Run, words: tuple[str, ...], told: str) -> None:
    """Nothing is drawn, and what was wrong stands in the last line; exit code 2."""
    code, out, err = run(*FEW, *words)
    assert (code, out) == (2, "")
    assert words[0] in err.splitlines()[-1]
    assert told in err.splitlines()[-1]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--cant-tell", "1.5"), "1.5 is no share of checks."),
        (("--cant-tell", "nan"), "nan is no share of checks."),
        (("--misjudged", "-1"), "-1.0"),
        (("--misjudged", "nan"), "nan"),
    ],
)
def test_share_out_of_range_is_refused(run: Run, words: tuple[str, ...], told: str) -> None:
    """The range is named; exit code 2."""
    code, out, err = run(*FEW, *words)
    assert (code, out) == (2, "")
    assert told in err
    assert "from 0 to" in err
