"""What is done with arrays to eliminate a component: tables, and the steps on them.

A bit whose evidence speaks against it (L0 >= L1) is `summed`: where other bits hold apart the mass
of not set and of set, it holds that of not set and of both. A trigger of summed bits then only
scales the mass of not set by its silence, so that the tables of two factors multiply number by
number. Its likelihoods become L0 - L1 and L1, neither of them negative, so that nothing is lost to
subtraction. The other bits are `moved`: a bit that two factors share is set if either sets it.

Every array has its bits in one order, the one to be closed first outermost, then the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple, TypeAlias

from diag.inference.shapes import Shapes
from diag.inference.values import Indices

Place: TypeAlias = tuple[slice | int, ...]
"""An index of the first axes of an array."""


class Trigger(NamedTuple):
    """A trigger and its bits in an array that has one axis for each bit, the rows last.

    `axes` are those of the moved bits, `held` selects the states in which all summed ones are set,
    and `all_set` those in which all are. For a single bit `unset` selects those in which it is not.
    """

    slot: int
    axes: tuple[int, ...]
    held: Place
    all_set: Place
    unset: Place | None


@dataclass(frozen=True, slots=True, eq=False)
class Tables:
    """Factors of one shape, each of which is a table over so many bits for each mode.

    Attributes:
        factors: the numbers of the factors.
        causes: how many causes each of them has; all have as many modes.
        moved: for each bit, the outermost first, whether it is moved.
        modes: the numbers of the modes, factor by factor and cause by cause, shape (modes,).
        slots: the trigger of each mode for each bit alone, shape (bits, modes); -1 for none.
        together: triggers of several bits, each with the place of its mode.
    """

    factors: tuple[int, ...]
    causes: int
    moved: tuple[bool, ...]
    modes: Indices
    slots: Indices
    together: tuple[tuple[int, Trigger], ...]

    @property
    def size(self) -> int:
        """Numbers in all tables of a row."""
        return len(self.modes) << len(self.moved)


@dataclass(frozen=True, slots=True)
class Join:
    """The product of the factors of these numbers."""

    left: int
    right: int
    shapes: Shapes

    @property
    def size(self) -> int:
        """Numbers that a row leaves."""
        return self.shapes.size


@dataclass(frozen=True, slots=True)
class Fire:
    """Fire a cause, (mode, triggers) by (mode, triggers), into the factor `of`, or into nothing.

    `view` shows the bits of that factor in an array with one axis for each of `bits` bits, with 1
    where it lacks one; `opened` are the axes of these, and `unset` selects the states in which none
    of these that is moved is set.
    """

    of: int | None
    modes: tuple[tuple[int, tuple[Trigger, ...]], ...]
    bits: int
    view: tuple[int, ...]
    opened: tuple[int, ...]
    unset: Place

    @property
    def size(self) -> int:
        """Numbers that a row leaves."""
        return 1 << self.bits


@dataclass(frozen=True, slots=True)
class Close:
    """Sum out the outermost bit against its evidence; `size` numbers are left.

    With `rescale` they are divided by their sum, which keeps rare evidence from underflow.
    """

    of: int
    bit: int
    size: int
    rescale: bool


Step: TypeAlias = Join | Fire | Close


@dataclass(frozen=True, slots=True, eq=False)
class Program:
    """The factors' tables, and what is done with them; the last step leaves one number a row.

    What the first step makes has the number `first_made`; the numbers before are the factors'.
    `modes`, `slots` and `bits` are all numbers that it depends on, `moved` the bits that are moved.
    """

    tables: tuple[Tables, ...]
    first_made: int
    steps: tuple[Step, ...]
    modes: Indices
    slots: Indices
    bits: Indices
    moved: Indices

    @property
    def size(self) -> int:
        """Numbers that a row leaves on the way forward."""
        return sum(step.size for step in self.steps) + sum(part.size for part in self.tables)
