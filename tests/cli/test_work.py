"""`benchtrail work`: lists, explains and works the bench sums."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from diag.workshop.catalogue import SUMS
from diag.workshop.jobs import JOBS
from screens.cli.main import main

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs `work`; gives the exit code, stdout and stderr."""

    def call(*words: str) -> tuple[int, str, str]:
        code = main(["work", *words])
        return code, *capsys.readouterr()

    return call


def test_list_has_a_line_for_each_sum(run: Run) -> None:
    """Every name with its title, as text and as JSON; no job is called as a sum is."""
    names = [*SUMS, *JOBS]
    assert len(set(names)) == len(names)
    code, out, _ = run()
    assert code == 0
    assert [line.split()[0] for line in out.splitlines()] == names
    assert [one["name"] for one in json.loads(run("--json")[1])] == names


@pytest.mark.parametrize("name", SUMS)
def test_explained_example_can_be_typed(run: Run, name: str) -> None:
    """What a sum's page gives as an example works as it stands there."""
    code, out, _ = run(name)
    assert code == 0
    for one in SUMS[name].inputs:
        assert f"  {one.key}: " in out
    given = [f"{key}={text}" for key, text in SUMS[name].example.given.items()]
    assert f"benchtrail work {name} " in out
    code, out, _ = run(name, *given, "--json")
    assert code == 0
    assert set(json.loads(out)["outputs"]) == {o.key for o in SUMS[name].outputs}


def test_caution_stands_before_the_result(run: Run) -> None:
    """What can hurt is read first."""
    _, out, _ = run("discharge", "capacitance=100", "voltage=300", "resistor=10k")
    assert out.startswith("Caution: Pull the mains plug first.")
    # 100 µF, 300 V: 4.5 J, by arithmetic.
    assert "energy stored in it: 4.5 J" in out
    assert run("discharge")[1].startswith("Caution: ")


def test_blanks_need_no_quotes(run: Run) -> None:
    """Words without `=` belong to the value before them. 1 7/8 in is 47.625 mm by definition."""
    words = ("belt_open", "big=1", "7/8", "in", "small=5,5", "centre=4", "cm", "--json")
    inputs = json.loads(run(*words)[1])["inputs"]
    assert inputs["big"] == {"value": pytest.approx(47.625), "unit": "mm"}
    assert inputs["small"]["value"] == 5.5
    assert inputs["centre"]["value"] == pytest.approx(40)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("belt_opne",), "Did you mean 'belt_open'?"),
        (("belt_open", "10"), "'10' has no key"),
        (("belt_open", "big=1", "big=2"), "'big' is given twice"),
        (("belt_open", "big=10"), "there is no small ("),
        (("belt_open", "big=10", "small=nan", "centre=20"), "belt_open, small: 'nan' is no number"),
        (("belt_open", "big=10", "small=5 g.cm", "centre=20"), "is a torque, but a length"),
        (("belt_open", "big=10", "small=5", "center=20"), "Did you mean 'centre'?"),
    ],
)
def test_bad_call_is_told(run: Run, words: tuple[str, ...], told: str) -> None:
    """A wrong call ends with code 2, nothing on stdout, and what to do."""
    code, out, err = run(*words)
    assert (code, out) == (2, "")
    assert told in err


BELTS = "name;length;thickness\nA;238,1;0,6\n=B;230;1,2\n"


def test_job_reads_a_list_and_writes_another(run: Run, tmp_path: Path) -> None:
    """Semicolons and commas stay, and a formula is written as text."""
    belts, out = tmp_path / "my belts.csv", tmp_path / "fits.csv"
    belts.write_text(BELTS, encoding="utf-8")
    words = ("belt_choice", "path=250", "mm", f"belts={belts}", "--out", str(out))
    code, told, _ = run(*words)
    assert code == 0
    assert told.startswith("Best: =B, right; 8 % shorter")
    written = out.read_text(encoding="utf-8-sig").splitlines()
    assert written[1].startswith("'=B;right;2;8;8,69565;230;")
    code, told, err = run(*words)
    assert (code, told) == (2, "")
    assert "There is a file of this name" in err


def test_job_as_json_has_numbers_in_full(run: Run, tmp_path: Path) -> None:
    """The list may come first and without its key."""
    belts = tmp_path / "belts.csv"
    belts.write_text(BELTS, encoding="utf-8")
    found = json.loads(run("belt_choice", str(belts), "path=250", "--json")[1])
    assert found["tables"][0]["rows"][0]["stretch_pct"] == pytest.approx(100 * 20 / 230)


@pytest.mark.parametrize("name", JOBS)
def test_page_of_a_job_names_all_that_it_reads(run: Run, name: str) -> None:
    """Columns, inputs and an example; the caution first."""
    code, out, _ = run(name)
    assert code == 0
    for key in (*JOBS[name].headings, *(one.key for one in JOBS[name].inputs)):
        assert f"  {key}: " in out
    assert out.startswith("Caution: ") == bool(JOBS[name].caution)
    assert json.loads(run(name, "--json")[1])["name"] == name


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("belt_choise",), "Did you mean 'belt_choice'?"),
        (("belt_choice", "path=250"), "there is no belts"),
        (("belt_choice", "none.csv", "path=250"), "none.csv: it can't be read"),
        (("belt_free", "path=250", "--out", "x"), "only what comes of a list is written out"),
    ],
)
def test_bad_job_is_told(run: Run, words: tuple[str, ...], told: str) -> None:
    """As a bad sum is."""
    code, out, err = run(*words)
    assert (code, out) == (2, "")
    assert told in err
