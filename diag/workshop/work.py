"""Work a sum: from what was typed to its outputs, or to an error that names what is wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite

from diag.errors import BenchtrailError
from diag.model.nearest import nearest
from diag.model.quantity import figure, parse, shown, takes
from diag.workshop.declaration import Input, Output, Rows, Sum, Value
from diag.workshop.told import Told

MOST_ROWS = 24
"""Rows of an input with columns; more are a slip."""


@dataclass(frozen=True, slots=True)
class Result:
    """A worked sum: what was taken for each input, and what each output came to."""

    sum: Sum
    taken: tuple[tuple[Input, float | Rows], ...]
    gives: tuple[tuple[Output, Value], ...]

    @property
    def tells(self) -> tuple[Told, ...]:
        """What it says to the case of a deck."""
        tells = self.sum.tells
        return tells(**{one.argument: value for one, value in self.taken}) if tells else ()


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
    told_missing(a_sum.name, a_sum.inputs, typed)
    values_taken = tuple((one, taken(a_sum.name, one, typed)) for one in a_sum.inputs)
    try:
        values = a_sum.compute(**{one.argument: value for one, value in values_taken})
    except BenchtrailError as error:
        raise BenchtrailError(error.found, where=a_sum.name, do=error.do) from None
    except (OverflowError, ZeroDivisionError):
        values = (float("nan"),)
    if not all(isinstance(value, str) or isfinite(value) for value in values):
        raise BenchtrailError(
            "these figures are too far apart for a result.", where=a_sum.name, do="Check each unit."
        )
    return Result(a_sum, values_taken, tuple(zip(a_sum.outputs, values, strict=True)))


def range_in_words(one: Input) -> str:
    """What an input takes."""
    if one.one_of:
        return f"one of {', '.join(map(figure, one.one_of))} {one.unit_symbol}".rstrip()
    if one.columns:
        return f"rows of {' '.join(one.columns)} in {one.unit_symbol}, parted by `;`"
    return f"{shown(one.low, one.unit)} to {shown(one.high, one.unit)}"


def taken_in_words(one: Input, value: float | Rows) -> str:
    """What was taken for an input, with its unit."""
    if isinstance(value, tuple):
        rows = (" ".join(figure(number, 6) for number in row) for row in value)
        return f"{'; '.join(rows)} {one.unit_symbol}".rstrip()
    return shown(value, one.unit, 6)


def given_in_words(out: Output, value: Value) -> str:
    """What an output came to, with its unit."""
    return value if isinstance(value, str) else shown(value, out.unit)


def note_of(result: Result) -> str:
    """A result in one line: title, what was given, what it came to, and the source."""
    given = ", ".join(f"{one.says} {taken_in_words(one, v)}" for one, v in result.taken)
    gives = ", ".join(f"{out.says} {given_in_words(out, v)}" for out, v in result.gives)
    return f"{result.sum.title}. Given: {given}. Result: {gives}. Source: {result.sum.source}."


def told_missing(name: str, inputs: Sequence[Input], typed: Mapping[str, str]) -> None:
    """Raises BenchtrailError where an input is not typed and has no default."""
    missing = [one for one in inputs if one.default is None and one.key not in typed]
    if missing:
        names = "; ".join(f"{one.key} ({one.says})" for one in missing)
        raise BenchtrailError(
            f"there is no {names}.", where=name, do=f"Give it as {missing[0].key}=NUMBER."
        )


def taken(name: str, one: Input, typed: Mapping[str, str]) -> float | Rows:
    """The value of an input in its unit, as typed for what is called `name`.

    Raises:
        BenchtrailError: it can't be read, or is out of its range.
    """
    where = f"{name}, {one.key}"
    if one.key not in typed:
        # A missing one without a default was told before.
        assert one.default is not None
        return one.default
    try:
        return _rows(one, typed[one.key]) if one.columns else _number(one, typed[one.key])
    except BenchtrailError as error:
        raise BenchtrailError(error.found, where=where, do=error.do) from None


def _number(one: Input, text: str) -> float:
    """One figure, in its range."""
    value = parse(text, one.unit)
    fits = value in one.one_of if one.one_of else one.low <= value <= one.high
    if not fits:
        raise BenchtrailError(
            f"'{text}' was read as {shown(value, one.unit)}, which is out of range: "
            f"{range_in_words(replace(one, columns=()))}.",
            do=takes(one.unit),
        )
    return value


def _rows(one: Input, text: str) -> Rows:
    """Rows of figures, each in its range."""
    rows = [row.split() for row in text.split(";") if row.strip()]
    for row in rows:
        if len(row) != len(one.columns):
            raise BenchtrailError(
                f"'{' '.join(row)}' has {len(row)} figures.",
                do=f"Give {len(one.columns)} a row: {' '.join(one.columns)}.",
            )
    if not one.least_rows <= len(rows) <= MOST_ROWS:
        raise BenchtrailError(
            f"{len(rows)} row(s) of figures, parted by `;`.",
            do=f"Give {one.least_rows} to {MOST_ROWS}: {' '.join(one.columns)}; and so on.",
        )
    return tuple(tuple(_number(one, figure_typed) for figure_typed in row) for row in rows)
