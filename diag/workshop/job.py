"""What a job on a list is: the columns it reads, the figures it asks, and what it tells.

As a sum is declared (`declaration`), but of a list of parts that somebody keeps in a spreadsheet.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from diag.errors import BenchtrailError
from diag.model.nearest import nearest
from diag.model.quantity import figure, shown
from diag.model.units import UNITS
from diag.workshop.declaration import Input
from diag.workshop.sheet import Cell, Sheet, read_sheet
from diag.workshop.told import Renewed, Told
from diag.workshop.work import taken, told_missing


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a list: its heading, and what stands in it."""

    key: str
    says: str


@dataclass(frozen=True, slots=True)
class Table:
    """Rows to read or to write out; every number in the unit that its heading ends with."""

    title: str
    header: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def cell_words(heading: str, cell: Cell) -> str:
    """A cell with what it is and its unit, for a person: `value_uf` and 10 are `value 10 µF`."""
    if cell is None:
        return ""
    name, _, suffix = heading.rpartition("_")
    unit = next((one for one in UNITS if one.suffix == suffix), None) if name else None
    if unit is None or isinstance(cell, str):
        text = cell if isinstance(cell, str) else figure(cell)
        return f"{heading.replace('_', ' ')} {text}"
    return f"{name.replace('_', ' ')} {shown(cell, unit)}"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a job came to.

    Args:
        says: the answer, a sentence a line.
        tables: the figures behind it; the first is what is written out.
        remarks: what was not as it should be, and what was taken in its place.
        cautions: what can hurt with the parts of this list; shown before anything else.
        tells: figures of the things on the list, for the case of a deck that has one of them.
        renews: capacitors that it changes, for the case of the deck that they are in.
    """

    says: tuple[str, ...]
    tables: tuple[Table, ...]
    remarks: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    tells: tuple[Told, ...] = ()
    renews: tuple[Renewed, ...] = ()


@dataclass(frozen=True, slots=True)
class Job:
    """One job on a list.

    Args:
        name: lower_snake_case, never changes; no sum is called alike.
        title: what it tells, one line.
        list_key: how the list is called on a command line.
        list_says: what the list is of.
        columns: what it may hold.
        inputs: figures that are asked besides, as those of a sum.
        compute: from the list, and each figure by `Input.argument`, to the outcome.
        source: id of knowledge/sources.yaml, or common_practice, or from_memory.
        basis: the rules behind it, each with its standing, and what they leave out.
        example: a short list, and the figures as typed.
        caution: what can hurt; shown before anything else.
    """

    name: str
    title: str
    list_key: str
    list_says: str
    columns: tuple[Column, ...]
    inputs: tuple[Input, ...]
    compute: Callable[..., Outcome]
    source: str
    basis: str
    example: str
    example_given: Mapping[str, str] = field(default_factory=dict)
    caution: str = ""

    @property
    def headings(self) -> tuple[str, ...]:
        """What the columns are called."""
        return tuple(column.key for column in self.columns)


def note_of(job: Job, outcome: Outcome) -> str:
    """An outcome in one line: title, answer and source; not the list."""
    return f"{job.title}. {' '.join(outcome.says)} Source: {job.source}."


def work_file(job: Job, path: Path, typed: Mapping[str, str]) -> tuple[Sheet, Outcome]:
    """Do a job on the list in a file, with figures as typed.

    Raises:
        BenchtrailError: the list can't be read, or a cell or a figure is not what it should be.
    """
    sheet = read_sheet(path, job.headings)
    return sheet, work_sheet(job, sheet, typed)


def work_sheet(job: Job, sheet: Sheet, typed: Mapping[str, str]) -> Outcome:
    """The same on a list that was read already."""
    keys = [one.key for one in job.inputs]
    for key in typed:
        if key not in keys:
            raise BenchtrailError(
                f"'{key}' is no input here.", where=job.name, do=nearest(key, [*keys, job.list_key])
            )
    told_missing(job.name, job.inputs, typed)
    figures = {one.argument: taken(job.name, one, typed) for one in job.inputs}
    unused = _unused(job, sheet.unused)
    try:
        found = job.compute(sheet, **figures)
    except BenchtrailError as error:
        # What a cell lacks may stand under a heading that wasn't known.
        raise BenchtrailError(
            error.found, where=error.where, do=" ".join([error.do, *unused])
        ) from error
    return replace(found, remarks=(*unused, *found.remarks))


def _unused(job: Job, headings: Sequence[str]) -> list[str]:
    """A slip in a heading must not pass as a column that somebody else needs."""
    told = []
    for heading in headings:
        meant = nearest(heading, job.headings)
        guess = meant if meant.startswith("Did") else ""
        told.append(f"Column '{heading}' isn't used. {guess}".rstrip())
    return told
