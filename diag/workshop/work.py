"""Work a sum: from what was typed to its outputs, or to an error that names what is wrong."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite

from diag.errors import BenchtrailError
from diag.model.nearest import nearest
from diag.model.quantity import figure, parse, shown, takes
from diag.workshop.declaration import Input, Output, Sum, Value


@dataclass(frozen=True, slots=True)
class Result:
    """A worked sum: what was taken for each input, and what each output came to."""

    sum: Sum
    taken: tuple[tuple[Input, float], ...]
    gives: tuple[tuple[Output, Value], ...]


def work(a_sum: Sum, typed: Mapping[str, str]) -> Result:
    """Work a sum with inputs as typed.

    Raises:
        BenchtrailError: an input is unknown, missing, unreadable or out of its range, or the inputs
            don't go together.
    """
    known = [one.key for one in a_sum.inputs]
    for key in typed:
        if key not in known:
            raise BenchtrailError(
                f"'{key}' is no input of this sum.", where=a_sum.name, do=nearest(key, known)
            )
    missing = [one for one in a_sum.inputs if one.default is None and one.key not in typed]
    if missing:
        names = "; ".join(f"{one.key} ({one.says})" for one in missing)
        raise BenchtrailError(
            f"there is no {names}.",
            where=a_sum.name,
            do=f"Give it as {missing[0].key}=NUMBER.",
        )
    taken = tuple((one, _taken(a_sum, one, typed)) for one in a_sum.inputs)
    try:
        values = a_sum.compute(**{one.argument: value for one, value in taken})
    except BenchtrailError as error:
        raise BenchtrailError(error.found, where=a_sum.name, do=error.do) from None
    except (OverflowError, ZeroDivisionError):
        values = (float("nan"),)
    if not all(isinstance(value, str) or isfinite(value) for value in values):
        raise BenchtrailError(
            "these figures are too far apart for a result.", where=a_sum.name, do="Check each unit."
        )
    return Result(a_sum, taken, tuple(zip(a_sum.outputs, values, strict=True)))


def range_in_words(one: Input) -> str:
    """What an input takes."""
    if one.one_of:
        return f"one of {', '.join(map(figure, one.one_of))} {one.unit_symbol}".rstrip()
    return f"{shown(one.low, one.unit)} to {shown(one.high, one.unit)}"


def _taken(a_sum: Sum, one: Input, typed: Mapping[str, str]) -> float:
    """The value of an input in its unit."""
    where = f"{a_sum.name}, {one.key}"
    if one.key not in typed:
        # A missing one without a default was told before.
        assert one.default is not None
        return one.default
    try:
        value = parse(typed[one.key], one.unit)
    except BenchtrailError as error:
        raise BenchtrailError(error.found, where=where, do=error.do) from None
    fits = value in one.one_of if one.one_of else one.low <= value <= one.high
    if not fits:
        raise BenchtrailError(
            f"'{typed[one.key]}' was read as {shown(value, one.unit)}, which is out of range: "
            f"{range_in_words(one)}.",
            where=where,
            do=takes(one.unit),
        )
    return value
