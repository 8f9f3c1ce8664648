"""The voltage that is marked on a capacitor: `16`, `6V3`, `250 V~`, `250VAC`, `X2 275 V~`."""

from __future__ import annotations

import re
from dataclasses import replace

from diag.model.quantity import unit
from diag.workshop.sheet import Row

COLUMN = "voltage"
LEAST_V, MOST_V = 1.0, 2000.0
_CLASS = re.compile(r"^[XY][1-4]?\s+", re.IGNORECASE)
_ALTERNATING = re.compile(
    r"^(?:[~\u223f]|a\.?c\.?\s)|[~\u223f](?=\s*V?$)|(?<![a-z])a\.?c\.?$|(?<=v)a\.?c\.?$",
    re.IGNORECASE,
)
_DIRECT = re.compile(r"(?:=|\u2393|d\.?c\.?)$", re.IGNORECASE)
_POINT = re.compile(r"^(\d+)\s*[vV]\s*(\d+)$")


def read_voltage(row: Row) -> tuple[float, bool]:
    """The marked voltage in V, and whether it is an alternating one.

    A class of safety (X2, Y2) before it, or `V~` in the heading, says alternating as well.

    Raises:
        BenchtrailError: there is none, there are two, or it is no voltage or out of range.
    """
    text = row.needed(COLUMN)
    if "/" in text:
        raise row.error(COLUMN, f"'{text}' is more than one.", "Give one; for a.c. as 250 V~.")
    bare, is_ac = _without_mark(_CLASS.sub("", text))
    heading, heading_ac = _without_mark(row.units.get(COLUMN, ""))
    units = {**row.units, COLUMN: heading} if heading else row.units
    told = replace(row, cells={**row.cells, COLUMN: _POINT.sub(r"\1.\2 V", bare)}, units=units)
    if not bare:
        raise row.error(COLUMN, f"'{text}' has no number.", "Give one; for a.c. as 250 V~.")
    value = told.number(COLUMN, unit("V"), LEAST_V, MOST_V)
    assert value is not None
    return value, is_ac or heading_ac or bool(_CLASS.match(text))


def _without_mark(text: str) -> tuple[str, bool]:
    """What is left without `~` or AC, or without `=` or DC; and whether it was alternating."""
    bare = _ALTERNATING.sub("", text).strip()
    return (bare, True) if bare != text else (_DIRECT.sub("", text).strip(), False)
