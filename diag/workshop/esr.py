"""Usual and highest series resistance of new electrolytics, by two published tables."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from math import exp, log

from diag.errors import BenchtrailError
from diag.workshop.capacitors import DISCHARGE_FIRST
from diag.workshop.declaration import Example, Input, Output, Sum, Value

Table = Mapping[float, tuple[float | None, ...]]
"""Rows by µF; a figure in ohm for each voltage, None where the source has none."""

USUAL_V = (10.0, 16.0, 25.0, 35.0, 63.0, 160.0, 250.0)
USUAL: Table = {
    4.7: (None, 35.0, 29.0, 24.0, 19.0, 16.0, 13.0),
    10: (20.0, 16.0, 14.0, 11.0, 9.3, 7.7, 6.3),
    22: (9.0, 7.5, 6.2, 5.1, 4.2, 3.5, 2.9),
    47: (4.2, 3.5, 2.9, 2.4, 2.0, 1.6, 1.4),
    100: (2.0, 1.6, 1.4, 1.1, 0.93, 0.77, 0.63),
    220: (0.90, 0.75, 0.62, 0.51, 0.42, 0.35, 0.29),
    470: (0.42, 0.35, 0.29, 0.24, 0.20, 0.16, 0.13),
    1000: (0.20, 0.16, 0.14, 0.11, 0.09, 0.08, 0.06),
    2200: (0.09, 0.07, 0.06, 0.05, 0.04, 0.03, 0.03),
    4700: (0.04, 0.03, 0.03, 0.02, 0.02, 0.02, 0.01),
    10000: (0.02, 0.02, 0.01, 0.01, 0.01, 0.01, 0.01),
}
"""Usual figures of standard parts at room temperature (esr_table)."""

HIGHEST_V = (10.0, 16.0, 25.0, 35.0, 63.0, 100.0, 250.0)
HIGHEST: Table = {
    1: (None, None, None, 14, 16, 18, 20),
    2.2: (None, None, 6.0, 8.0, 10, 10, 18),
    4.7: (None, None, 15, 7.5, 4.2, 2.3, 5.0),
    10: (None, 8.0, 5.3, 3.2, 2.4, 3.0, 2.5),
    22: (5.4, 3.6, 2.1, 1.5, 1.5, 1.5, 1.8),
    47: (2.2, 1.6, 1.2, 0.68, 0.56, 0.7, 0.8),
    100: (1.2, 0.7, 0.32, 0.32, 0.3, 0.15, 0.8),
    220: (0.6, 0.33, 0.23, 0.17, 0.16, 0.09, 0.5),
    470: (0.24, 0.18, 0.12, 0.09, 0.09, 0.05, 0.3),
    1000: (0.12, 0.09, 0.08, 0.07, 0.05, 0.06, None),
    4700: (0.23, 0.20, 0.12, 0.08, 0.04, None, None),
    10000: (0.12, 0.08, 0.06, 0.04, None, None, None),
}
"""Highest figures of new parts at 20 degrees (esr_table), as printed: some rows rise again."""

NO_FIGURE = "no figure in that table"


def limits(capacitance_uf: float, voltage_v: float) -> tuple[Value, Value, Value]:
    """Usual and highest figure of a new part in ohm, and the figure that makes a part doubtful.

    Raises:
        BenchtrailError: neither table has a figure.
    """
    found = [
        between(table, volts, capacitance_uf, voltage_v)
        for table, volts in ((USUAL, USUAL_V), (HIGHEST, HIGHEST_V))
    ]
    known = [one for one in found if one is not None]
    if not known:
        raise BenchtrailError(
            f"no table has a figure for {capacitance_uf:g} µF at {voltage_v:g} V.",
            do="Compare it with a new part of the same mark.",
        )
    usual, highest = (NO_FIGURE if one is None else one for one in found)
    return usual, highest, 2 * max(known)


def between(
    table: Table, volts: tuple[float, ...], capacitance_uf: float, voltage_v: float
) -> float | None:
    """A figure of a table, between its figures by logarithms; None where one of them is missing."""
    rows = tuple(table)
    total = 0.0
    for row, row_share in _neighbours(rows, capacitance_uf):
        for column, share in _neighbours(volts, voltage_v):
            figure = table[rows[row]][column]
            if figure is None:
                return None
            total += row_share * share * log(figure)
    return (
        exp(total) if _neighbours(rows, capacitance_uf) and _neighbours(volts, voltage_v) else None
    )


def _neighbours(marks: tuple[float, ...], value: float) -> list[tuple[int, float]]:
    """The places of the marks at either side and their shares; none outside the marks."""
    if not marks[0] <= value <= marks[-1]:
        return []
    after = bisect_left(marks, value)
    if marks[after] == value:
        return [(after, 1.0)]
    share = log(value / marks[after - 1]) / log(marks[after] / marks[after - 1])
    return [(after - 1, 1 - share), (after, share)]


SUMS = (
    Sum(
        name="esr",
        title="Usual and doubtful series resistance of an electrolytic",
        inputs=(
            Input("capacitance", "marked capacitance", "µF", 1, 10000),
            Input("voltage", "marked voltage", "V", 10, 250),
        ),
        outputs=(
            Output("usual", "usual for a new standard part", "ohm"),
            Output("highest", "highest of a new part by another table", "ohm"),
            Output("doubtful", "doubtful from", "ohm"),
        ),
        compute=limits,
        source="esr_table",
        basis="Two tables that differ by up to four times and more; between their figures by "
        "logarithms. Doubtful is twice the larger. A guide, no verdict.",
        example=Example(
            {"capacitance": "100 µF", "voltage": "25 V"},
            {"usual": 1.4, "highest": 0.32, "doubtful": 2.8},
            1e-9,
            "published (esr_table): 1.40 and 0.32 ohm; suspect over twice the figure",
        ),
        caution=DISCHARGE_FIRST,
    ),
)
