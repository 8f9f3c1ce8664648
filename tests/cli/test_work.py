"""`benchtrail work`: lists, explains and works the bench sums."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from diag.workshop.catalogue import SUMS
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
    """Every name with its title, as text and as JSON."""
    code, out, _ = run()
    assert code == 0
    assert [line.split()[0] for line in out.splitlines()] == list(SUMS)
    assert [one["name"] for one in json.loads(run("--json")[1])] == list(SUMS)


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
