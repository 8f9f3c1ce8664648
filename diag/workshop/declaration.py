"""What a sum is: its inputs, its outputs, where it comes from, and a worked example."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from diag.model.quantity import unit
from diag.model.units import Unit
from diag.workshop.belt_outline import Line
from diag.workshop.told import Told

Rows = tuple[tuple[float, ...], ...]
"""What an input with columns is."""
Value = float | str
"""A number in the unit of its output, or a judgement in words."""


@dataclass(frozen=True, slots=True)
class Input:
    """One figure that a sum asks for.

    Args:
        key: how it is called on a command line.
        says: what it is.
        unit_symbol: what a bare number counts as.
        low: least value that is taken, in that unit.
        high: greatest value that is taken.
        default: what it is unless told; None if it must be told.
        one_of: the only values that are taken; empty if any in the range.
        columns: names of the figures in a row, where rows of them are asked, parted by `;`.
        least_rows: how many rows there must be.
    """

    key: str
    says: str
    unit_symbol: str
    low: float
    high: float
    default: float | None = None
    one_of: tuple[float, ...] = ()
    columns: tuple[str, ...] = ()
    least_rows: int = 0

    @property
    def unit(self) -> Unit:
        """What a bare number counts as, and what the sum reckons in."""
        return unit(self.unit_symbol)

    @property
    def argument(self) -> str:
        """What the sum's function calls it: the key with its unit behind."""
        return "_".join(filter(None, (self.key, self.unit.suffix)))


@dataclass(frozen=True, slots=True)
class Output:
    """One figure, or one judgement, that a sum gives."""

    key: str
    says: str
    unit_symbol: str = ""

    @property
    def unit(self) -> Unit:
        """The unit of its number."""
        return unit(self.unit_symbol)


@dataclass(frozen=True, slots=True)
class Example:
    """A worked example.

    Args:
        given: inputs as typed.
        gives: some outputs, numbers in their units.
        within: relative distance that is allowed, for what a source rounds.
        source: where the result comes from.
    """

    given: Mapping[str, str]
    gives: Mapping[str, Value]
    within: float
    source: str


@dataclass(frozen=True, slots=True)
class Sum:
    """One sum.

    Args:
        name: lower_snake_case, never changes.
        title: what it tells, one line.
        inputs: what it asks, in the order in which it is asked.
        outputs: what it gives, in the order of what `compute` returns.
        compute: from numbers, each by `Input.argument`, to the values of the outputs. Raises
            BenchtrailError where figures that are each in range don't go together.
        source: id of knowledge/sources.yaml, or common_practice, or from_memory.
        basis: the rule behind it and what it leaves out, in words.
        example: a worked example, held by a test.
        caution: what can hurt; shown before anything else.
        outline: from the same numbers to lines in mm that show what is meant, where it helps; asked
            only where `compute` has a result.
        tells: from the same numbers to what they say to the case of a deck, where they do.
    """

    name: str
    title: str
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    compute: Callable[..., tuple[Value, ...]]
    source: str
    basis: str
    example: Example
    caution: str = ""
    outline: Callable[..., tuple[Line, ...]] | None = None
    tells: Callable[..., tuple[Told, ...]] | None = None
