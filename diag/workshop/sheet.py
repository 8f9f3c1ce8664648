"""A list as a spreadsheet saves it (CSV): read with the place of every cell, and written safely.

Comma, semicolon or tab between cells, point or comma in numbers, with or without a byte order mark.
A cell that a spreadsheet would take for a formula is text here, and is written so that it stays
text there.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from unicodedata import category

from diag.errors import BenchtrailError
from diag.model.nearest import nearest
from diag.model.quantity import figure, parse
from diag.model.units import Unit

MOST_BYTES = 2_000_000
MOST_ROWS = 5000
LONGEST_CELL = 2000
"""Characters; what is longer is no cell but a quote that was never closed."""
SEPARATORS = ";\t,"
"""Tried in this order where a header has as many of one as of another, or none."""
FORMULA = tuple("=+-@\uff1d\uff0b\uff0d\uff20")
"""A text that begins with one of these, full width ones too, is worked as a formula somewhere."""
GUARD = "'"
"""Before a text, it tells a spreadsheet that it is one."""
_EXPONENT = re.compile(r"(?<=\d)[eE][+-]?\d+")
_UNIT_SIGN = re.compile(r"[^\W\d_]|[%\"'\u00b0]")
_BRACKETS = re.compile(r"[(\[](.*?)[)\]]")
Cell = str | float | None
"""What is written: a text, a number, or nothing."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a list: its cells by column, the units of their headings, where it stands."""

    sheet: str
    line: int
    cells: Mapping[str, str]
    units: Mapping[str, str]

    def text(self, column: str) -> str:
        """What stands in a column; empty if nothing does."""
        return self.cells.get(column, "")

    def needed(self, column: str) -> str:
        """What stands in a column that may not be empty.

        Raises:
            BenchtrailError: nothing does.
        """
        if not self.text(column):
            raise self.error(column, "this cell is empty.", "Fill it in, or take the row out.")
        return self.text(column)

    def number(self, column: str, unit: Unit, low: float, high: float) -> float | None:
        """The figure in a column, in a unit; None if the cell is empty.

        A bare number counts as one of the unit in its heading, else of the one that is asked.

        Raises:
            BenchtrailError: it is no number, of another kind, or out of the range.
        """
        text = self.text(column)
        if not text:
            return None
        try:
            value = parse(text, unit)
            if column in self.units and not _UNIT_SIGN.search(_EXPONENT.sub("", text)):
                value *= parse(f"1 {self.units[column]}", unit)
        except BenchtrailError as error:
            raise self.error(column, error.found, error.do) from None
        if not low <= value <= high:
            raise self.error(
                column,
                f"'{text}' was read as {figure(value)} {unit.symbol}, which is out of range.",
                f"{figure(low)} to {figure(high)} {unit.symbol} is taken.",
            )
        return value

    def one_of(self, column: str, words: Mapping[str, str]) -> str:
        """What a word in a column stands for; empty if the cell is.

        Args:
            column: which.
            words: what is taken, in small letters, and what each stands for.

        Raises:
            BenchtrailError: it is none of the words.
        """
        text = " ".join(self.text(column).casefold().replace("_", " ").replace("-", " ").split())
        if text and text not in words:
            raise self.error(
                column,
                f"'{self.text(column)}' is not known here.",
                nearest(text, words) or f"One of: {', '.join(dict.fromkeys(words.values()))}.",
            )
        return words[text] if text else ""

    def error(self, column: str, found: str, do: str) -> BenchtrailError:
        """An error at a cell."""
        where = f"{self.sheet}, line {self.line}, column '{column}'"
        return BenchtrailError(found, where=where, do=do)


@dataclass(frozen=True, slots=True)
class Sheet:
    """A list.

    Args:
        name: of its file.
        separator: what stood between its cells.
        columns: those that are known, in the order of the file.
        unused: headings of columns that are not known.
        rows: every row that has anything in it.
    """

    name: str
    separator: str
    columns: tuple[str, ...]
    unused: tuple[str, ...]
    rows: tuple[Row, ...]


def read_sheet(path: Path, known: Collection[str]) -> Sheet:
    """Read a list from a file.

    Raises:
        BenchtrailError: it can't be read, or is no list with these columns.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise BenchtrailError(
                f"it has more than {MOST_BYTES:,} bytes.", where=path.name, do="Is it a CSV file?"
            )
        data = path.read_bytes()
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "no file has such a name"
        raise BenchtrailError(
            f"it can't be read: {reason}.", where=str(path), do="Check the name and the folder."
        ) from None
    return sheet_of(_decoded(data, path.name), path.name, known)


def sheet_of(text: str, name: str, known: Collection[str]) -> Sheet:
    """The list in a text.

    Raises:
        BenchtrailError: there is no row, a column stands twice, a row has more cells than there are
            columns, or a quote is never closed.
    """
    lines = list(StringIO(text, newline=None))
    told = re.fullmatch(r"sep=(.)\s*", lines[0]) if lines else None
    first = 1 if told else 0
    separator = told[1] if told else _separator(lines[0] if lines else "")
    table = _cells(lines[first:], first, separator, name)
    if len(table) < 2:
        raise BenchtrailError(
            "there is no row below a line of headings.",
            where=name,
            do=f"Headings are {', '.join(known)}.",
        )
    if len(table) > MOST_ROWS + 1:
        raise BenchtrailError(f"it has more than {MOST_ROWS} rows.", where=name, do="Split it.")
    (at, heads), *rest = table
    columns = [_column(head, known) for head in heads]
    for number, column in enumerate(columns):
        if column and column in columns[:number]:
            raise BenchtrailError(
                f"column '{column}' stands twice.",
                where=f"{name}, line {at}",
                do="Take one of them out.",
            )
    if not any(columns):
        raise BenchtrailError(
            f"no heading is known: {', '.join(heads)}.",
            where=f"{name}, line {at}",
            do=f"Headings are {', '.join(known)}.",
        )
    in_brackets = {
        column: told_unit[1].strip()
        for head, column in zip(heads, columns, strict=True)
        if column and (told_unit := _BRACKETS.search(head))
    }
    rows = tuple(_row(cells, line, columns, name, in_brackets) for line, cells in rest)
    unused = tuple(h for h, c in zip(heads, columns, strict=True) if h and not c)
    return Sheet(name, separator, tuple(filter(None, columns)), unused, rows)


def as_csv(header: Sequence[str], rows: Sequence[Sequence[Cell]], separator: str = ",") -> bytes:
    """A table as a file for a spreadsheet; between semicolons numbers have a comma.

    No text in it can be taken for a formula, and `read_sheet` gives the same text again.
    """
    out = StringIO()
    writer = csv.writer(out, delimiter=separator, lineterminator="\r\n")
    writer.writerow(map(_defused, header))
    for row in rows:
        writer.writerow(_written(cell, separator) for cell in row)
    return out.getvalue().encode("utf-8-sig")


def _decoded(data: bytes, name: str) -> str:
    """The text of a file: by its mark, as UTF-8, or as western spreadsheets save it."""
    marked = data.startswith((b"\xff\xfe", b"\xfe\xff"))
    for encoding in ("utf-16",) if marked else ("utf-8-sig", "cp1252"):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise BenchtrailError(
        "this is no text.", where=name, do="Save it from the spreadsheet as CSV, in UTF-8."
    )


def _separator(heads: str) -> str:
    """What stands between the cells of the line of headings, outside quotes."""
    bare = re.sub(r'"[^"]*"', "", heads)
    return max(SEPARATORS, key=bare.count)


def _cells(
    lines: Sequence[str], before: int, separator: str, name: str
) -> list[tuple[int, list[str]]]:
    """Rows that aren't empty, each with the line on which it begins."""
    reader = csv.reader(lines, delimiter=separator, strict=True)
    found: list[tuple[int, list[str]]] = []
    line = before + 1
    try:
        for row in reader:
            cells = [_bare(cell) for cell in row]
            if any(len(cell) > LONGEST_CELL for cell in cells):
                raise csv.Error("a cell without an end")
            if any(cells):
                found.append((line, cells))
            line = before + reader.line_num + 1
    except csv.Error:
        raise BenchtrailError(
            "a quote is opened here and not closed, or the other way round.",
            where=f"{name}, line {line}",
            do="Mend it, or save the list from the spreadsheet again.",
        ) from None
    return found


def _bare(cell: str) -> str:
    """A cell as a person meant it: no blanks around it, no sign that steers, no guard."""
    plain = "".join(c if c == "\n" or category(c)[0] != "C" else " " for c in cell).strip()
    # Some programs write ="0047" to keep a text a text.
    if kept := re.fullmatch(r'="([^"]*)"', plain):
        plain = kept[1]
    return plain[1:] if plain.startswith(GUARD) and _is_formula(plain[1:]) else plain


def _is_formula(text: str) -> bool:
    return text.lstrip().startswith(FORMULA)


def _defused(text: str) -> str:
    return GUARD + text if _is_formula(text) else text


def _written(cell: Cell, separator: str) -> str:
    if cell is None:
        return ""
    if isinstance(cell, str):
        return _defused(cell)
    text = figure(cell, 6)
    return text.replace(".", ",") if separator == ";" else text


def _column(head: str, known: Collection[str]) -> str:
    """The known column of a heading: case, blanks and a unit in brackets don't count."""
    plain = "_".join(re.findall(r"\w+", _BRACKETS.sub("", head).casefold()))
    return plain if plain in known else ""


def _row(
    cells: Sequence[str],
    line: int,
    columns: Sequence[str],
    name: str,
    units: Mapping[str, str],
) -> Row:
    if any(cells[len(columns) :]):
        raise BenchtrailError(
            f"{len(cells)} cells, and {len(columns)} headings.",
            where=f"{name}, line {line}",
            do="A cell that holds the sign between cells wants quotes around it.",
        )
    by_column = {c: cell for c, cell in zip(columns, cells, strict=False) if c}
    return Row(name, line, by_column, units)
