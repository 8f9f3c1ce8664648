"""Jobs on a list, as `benchtrail work` explains, does and tells them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diag.errors import BenchtrailError
from screens.cli.output import WIDTH, say, say_wrapped

if TYPE_CHECKING:
    from diag.workshop.job import Job, Outcome, Table
    from diag.workshop.sheet import Cell, Sheet


def with_key(job: Job, words: Sequence[str]) -> list[str]:
    """The words of a call; a file that comes first needs no key."""
    first, *rest = words
    return list(words) if "=" in first else [f"{job.list_key}={first}", *rest]


def do(job: Job, typed: Mapping[str, str], out: Path | None) -> tuple[Sheet, Outcome]:
    """Do a job on a file, and write what came of it if `out` says where.

    Raises:
        BenchtrailError: there is no list, or something in it is not what it should be.
    """
    from diag.cases.new_file import check_is_new, write_new_file
    from diag.workshop.job import work_file
    from diag.workshop.sheet import as_csv

    if job.list_key not in typed:
        raise BenchtrailError(
            f"there is no {job.list_key} ({job.list_says}).",
            where=job.name,
            do=f"Give the file as {job.list_key}=FILE.",
        )
    if out is not None:
        check_is_new(out)
    figures = {key: text for key, text in typed.items() if key != job.list_key}
    sheet, outcome = work_file(job, Path(typed[job.list_key]).expanduser(), figures)
    if out is not None:
        table = outcome.tables[0]
        write_new_file(out, as_csv(table.header, table.rows, sheet.separator), "list")
    return sheet, outcome


def explain(job: Job) -> None:
    """What a job reads, asks and does, and an example to copy."""
    from diag.model.quantity import shown
    from diag.workshop.work import range_in_words

    if job.caution:
        say_wrapped(f"Caution: {job.caution}")
        say()
    say(job.title)
    say_wrapped(f"{job.list_key}: a CSV file, {job.list_says}", "  ")
    for column in job.columns:
        say_wrapped(f"{column.key}: {column.says}", "    ")
    for one in job.inputs:
        default = "" if one.default is None else f"; {shown(one.default, one.unit)} unless told"
        say_wrapped(f"{one.key}: {one.says}, {range_in_words(one)}{default}", "  ")
    say()
    say_wrapped(f"{job.basis} Source: {job.source}.")
    say("Example, a file list.csv and the call:")
    for line in job.example.splitlines():
        say(f"  {line}")
    given = "".join(f' {key}="{value}"' for key, value in job.example_given.items())
    say(f"  benchtrail work {job.name}{given} {job.list_key}=list.csv")


def tell(job: Job, outcome: Outcome, out: Path | None) -> None:
    """The caution, the answer, the figures behind it, what was not as it should be."""
    for caution in filter(None, (job.caution, *outcome.cautions)):
        say_wrapped(f"Caution: {caution}")
        say()
    for line in outcome.says:
        say_wrapped(line)
    for table in outcome.tables:
        say()
        _tell_table(table)
    if outcome.remarks:
        say()
        for line in outcome.remarks:
            say_wrapped(f"! {line}")
    say()
    say_wrapped(f"{job.basis} Source: {job.source}.")
    if out is not None:
        say_wrapped(f"Written: {out}")


def declared(job: Job) -> dict[str, Any]:
    """A job's declaration for `--json`."""
    return {
        "name": job.name,
        "title": job.title,
        "caution": job.caution,
        "list": {
            "key": job.list_key,
            "says": job.list_says,
            "columns": [{"key": c.key, "says": c.says} for c in job.columns],
        },
        "inputs": [
            {
                "key": one.key,
                "says": one.says,
                "unit": one.unit_symbol,
                "low": one.low,
                "high": one.high,
                "default": one.default,
            }
            for one in job.inputs
        ],
        "source": job.source,
        "basis": job.basis,
    }


def as_json(job: Job, outcome: Outcome) -> dict[str, Any]:
    """What a job came to, for `--json`, numbers in full."""
    return {
        "name": job.name,
        "caution": job.caution,
        "cautions": list(outcome.cautions),
        "says": list(outcome.says),
        "tables": [
            {
                "title": table.title,
                "rows": [dict(zip(table.header, row, strict=True)) for row in table.rows],
            }
            for table in outcome.tables
        ],
        "remarks": list(outcome.remarks),
        "source": job.source,
        "basis": job.basis,
    }


def _tell_table(table: Table) -> None:
    """A table in columns where it fits the width, else a paragraph a row; no empty columns."""
    from diag.workshop.job import cell_words

    say(table.title)
    kept = [n for n, _ in enumerate(table.header) if any(row[n] is not None for row in table.rows)]
    heads = [table.header[n] for n in kept]
    rows = [[_words(row[n]) for n in kept] for row in table.rows]
    widths = [max(map(len, column)) for column in zip(heads, *rows, strict=True)]
    if sum(widths) + 2 * len(widths) <= WIDTH:
        for cells in (heads, *rows):
            line = "  ".join(f"{cell:<{wide}}" for cell, wide in zip(cells, widths, strict=True))
            say(f"  {line}".rstrip())
        return
    for first, *rest in table.rows:
        filled = [
            (h, c) for h, c in zip(table.header[1:], rest, strict=True) if c not in (None, "")
        ]
        told = ", ".join(cell_words(heading, cell) for heading, cell in filled)
        say_wrapped(f"{_words(first)}: {told}", "  ")


def _words(cell: Cell) -> str:
    from diag.model.quantity import figure

    if cell is None:
        return ""
    return cell if isinstance(cell, str) else figure(cell)
