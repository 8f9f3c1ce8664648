"""Every declared sum: its example, its function, its limits, its source."""

from __future__ import annotations

import inspect
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from diag.errors import BenchtrailError
from diag.model.quantity import figure
from diag.workshop.catalogue import SUMS, sum_named
from diag.workshop.declaration import Input, Sum
from diag.workshop.work import Result, work

every_sum = pytest.mark.parametrize("a_sum", SUMS.values(), ids=SUMS)
SOURCES = Path(__file__).parents[2] / "knowledge" / "sources.yaml"


@every_sum
def test_example_comes_out(a_sum: Sum) -> None:
    """The worked example of the declaration gives what its source says."""
    gives = {out.key: value for out, value in work(a_sum, a_sum.example.given).gives}
    for key, value in a_sum.example.gives.items():
        if isinstance(value, str):
            assert gives[key] == value
        else:
            assert gives[key] == pytest.approx(value, rel=a_sum.example.within)


@every_sum
def test_function_takes_the_declared_inputs(a_sum: Sum) -> None:
    """Every argument is an input, with its unit in its name."""
    assert list(inspect.signature(a_sum.compute).parameters) == [
        one.argument for one in a_sum.inputs
    ]


@every_sum
def test_source_is_known(a_sum: Sum) -> None:
    """A source is one of the book's list, or says that there is none."""
    known = yaml.safe_load(SOURCES.read_text(encoding="utf-8"))["sources"]
    assert a_sum.source in {*known, "common_practice", "from_memory"}
    assert a_sum.example.source.partition(" ")[0].rstrip(":") in {
        "published",
        "arithmetic",
        "common",
        "from",
    }


@every_sum
def test_keys_come_once(a_sum: Sum) -> None:
    """No two inputs, and no two outputs, are called alike."""
    assert len({one.key for one in a_sum.inputs}) == len(a_sum.inputs)
    assert len({out.key for out in a_sum.outputs}) == len(a_sum.outputs)


@every_sum
def test_defaults_are_in_range(a_sum: Sum) -> None:
    """What counts unless told would be taken if told."""
    for one in a_sum.inputs:
        assert one.low <= one.high
        if one.default is not None:
            typed = {**a_sum.example.given, one.key: figure(one.default, 12)}
            assert one.default in {value for _, value in work(a_sum, typed).taken}


@every_sum
@pytest.mark.parametrize("text", ["nan", "inf", "-1e30", "1e30", "", "1 2 3", "five"])
def test_bad_figure_is_told_by_name(a_sum: Sum, text: str) -> None:
    """An unreadable figure, or one out of range, is told with the name of its input."""
    for one in a_sum.inputs:
        with pytest.raises(BenchtrailError) as caught:
            work(a_sum, {**a_sum.example.given, one.key: text})
        assert caught.value.where == f"{a_sum.name}, {one.key}"


@every_sum
def test_missing_input_is_told_by_name(a_sum: Sum) -> None:
    """Nothing is guessed for an input that has no default."""
    for one in a_sum.inputs:
        if one.default is None:
            given = {key: text for key, text in a_sum.example.given.items() if key != one.key}
            with pytest.raises(BenchtrailError, match=f"there is no {one.key} "):
                work(a_sum, given)


def typed_figures(one: Input) -> st.SearchStrategy[str]:
    """What may be typed for an input: a figure in its range, or rows of them."""
    figures = (st.sampled_from(one.one_of) if one.one_of else st.floats(one.low, one.high)).map(
        repr
    )
    if not one.columns:
        return figures
    row = st.lists(figures, min_size=len(one.columns), max_size=len(one.columns)).map(" ".join)
    return st.lists(row, min_size=one.least_rows, max_size=8).map(";".join)


@given(st.data())
def test_inputs_in_range_give_a_result_or_a_reason(data: st.DataObject) -> None:
    """Whatever is in range is worked, or refused with what to do; never another error."""
    a_sum = data.draw(st.sampled_from(list(SUMS.values())))
    typed = {one.key: data.draw(typed_figures(one)) for one in a_sum.inputs}
    told = worked_or_told(a_sum, typed)
    if isinstance(told, BenchtrailError):
        assert told.where == a_sum.name
        assert told.do
    else:
        assert len(told.gives) == len(a_sum.outputs)


def worked_or_told(a_sum: Sum, typed: dict[str, str]) -> Result | BenchtrailError:
    """The result, or the error that tells why there is none."""
    try:
        return work(a_sum, typed)
    except BenchtrailError as error:
        return error


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("0 0 10", "1 row.s. of figures"),
        ("0 0 10; 20 0", "'20 0' has 2 figures"),
        ("0 0 10; 20 0 nan", "'nan' is no number"),
        ("0 0 10; 20 0 1e9", "out of range: -20000 mm to 20000 mm"),
        (";".join(["0 0 1"] * 25), "25 row.s. of figures"),
    ],
)
def test_bad_rows_are_told(text: str, told: str) -> None:
    """Rows of figures are checked one by one, and counted."""
    with pytest.raises(BenchtrailError, match=told) as caught:
        work(sum_named("belt_round"), {"pulleys": text})
    assert caught.value.where == "belt_round, pulleys"


def test_unknown_key_names_the_nearest() -> None:
    """A slip of the pen in a key is told with the key that was meant."""
    with pytest.raises(BenchtrailError, match=r"'centr' is no input.*Did you mean 'centre'\?"):
        work(sum_named("belt_open"), {"big": "10", "small": "5", "centr": "20"})


def test_unknown_sum_names_the_nearest() -> None:
    """And so is one in the name of a sum."""
    with pytest.raises(BenchtrailError, match=r"Did you mean 'belt_open'\?"):
        sum_named("belt_opne")


def test_anything_live_has_its_caution() -> None:
    """A sum about a charged capacitor says first what can hurt."""
    for name, one in SUMS.items():
        if name.startswith("discharge"):
            assert one.caution.startswith("Pull the mains plug first")
            assert "licensed" in one.caution
