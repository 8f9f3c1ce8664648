"""What a list means by `C1-C4` or `C1, C3`: each part by its own reference."""

from __future__ import annotations

import re

from diag.errors import BenchtrailError
from diag.workshop.sheet import Row

COLUMN = "reference"
MOST = 200
"""References that one span may stand for; more are a slip."""
_SPAN = re.compile(
    r"(?P<letters>[A-Za-z]+)(?P<first>\d+)\s*(?:-|\u2013|\.{2,3}|\u2026)\s*"
    r"(?P<again>[A-Za-z]*)(?P<last>\d+)"
)


def read_references(row: Row) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Each reference of a row, and each span in it with what was understood.

    Several are parted by a blank, a comma, a semicolon or a stroke; `C1-C4`, `C1-4` and `C1..C4`
    stand for all from the first to the last.

    Raises:
        BenchtrailError: there is none, one stands twice, or a span counts down, is too long, or
            begins and ends with different letters.
    """
    text, spans = row.needed(COLUMN), []
    for span in list(_SPAN.finditer(text)):
        parts = _members(row, span)
        text = text.replace(span[0], " ".join(parts), 1)
        spans.append(f"'{span[0]}' was read as {len(parts)} parts: {_shortened(parts)}.")
    found = tuple(re.findall(r"[^\s,;/]+", text))
    if not found:
        raise row.error(COLUMN, f"'{row.text(COLUMN)}' names no part.", "Write it as C1.")
    twice = next((name for n, name in enumerate(found) if name in found[:n]), None)
    if twice is not None:
        raise row.error(COLUMN, f"'{twice}' stands here twice.", "Take one of the two out.")
    return found, tuple(spans)


def _members(row: Row, span: re.Match[str]) -> list[str]:
    """Every reference of a span, with the leading noughts of its first."""
    letters, again = span["letters"], span["again"]
    first, last = int(span["first"]), int(span["last"])
    if again and again != letters:
        raise _unclear(row, span, f"it begins with {letters} and ends with {again}")
    if last <= first:
        raise _unclear(row, span, f"{last} does not come after {first}")
    if last - first >= MOST:
        raise _unclear(row, span, f"that would be {last - first + 1} parts")
    width = len(span["first"])
    return [f"{letters}{number:0{width}}" for number in range(first, last + 1)]


def _unclear(row: Row, span: re.Match[str], why: str) -> BenchtrailError:
    understood = f"{span['letters']}{span['first']} to {span['again'] or span['letters']}"
    return row.error(
        COLUMN,
        f"'{span[0]}' was read as {understood}{span['last']}, but {why}.",
        "Write each reference, with a blank between.",
    )


def _shortened(parts: list[str]) -> str:
    return " ".join(parts) if len(parts) <= 6 else f"{parts[0]} {parts[1]} ... {parts[-1]}"
