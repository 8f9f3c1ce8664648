"""From the capacitors of a board to an order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import ceil

from diag.model.quantity import figure
from diag.workshop.capacitors import DISCHARGE_FIRST
from diag.workshop.declaration import Input
from diag.workshop.job import Column, Job, Outcome, Table
from diag.workshop.recap_parts import PLACES, TYPES, Part, part_of
from diag.workshop.recap_rules import New, new_for
from diag.workshop.sheet import Cell, Sheet
from diag.workshop.told import Renewed

Planned = tuple[Part, New]
ORDER = (
    "order",
    "value_uf",
    "voltage_v",
    "kind",
    "temperature_c",
    "pitch_mm",
    "diameter_max_mm",
    "height_max_mm",
    "fitted",
    "spares",
    "references",
    "why",
)
LIVE = ("mains", "mains to case", "motor run")


def plan(sheet: Sheet, spares_pct: float) -> Outcome:
    """What to order for a list of capacitors, part by part and grouped.

    Raises:
        BenchtrailError: a cell is not what it should be, or a reference stands twice.
    """
    parts = tuple(map(part_of, sheet.rows))
    _check_once(sheet, parts)
    found = [(part, new_for(part)) for part in parts]
    planned = [(part, new) for part, new in found if isinstance(new, New)]
    left = [(part, why) for part, why in found if isinstance(why, str)]
    order = Table("To order", ORDER, tuple(_line(group, spares_pct) for group in _groups(planned)))
    tables = [order, Table("Part by part", ("references", "marked", "new", "why"), _each(planned))]
    if left:
        tables.append(Table("Leave", ("references", "marked", "why"), _left(left)))
    return Outcome(
        tuple(_says(order, left)),
        tuple(tables),
        tuple(_remarks(parts)),
        cautions=tuple(_cautions(parts)),
        renews=tuple(Renewed(part.references, part.place, part.board) for part, _ in planned),
    )


def _check_once(sheet: Sheet, parts: Sequence[Part]) -> None:
    lines: dict[str, int] = {}
    for row, part in zip(sheet.rows, parts, strict=True):
        for reference in part.references:
            if reference in lines:
                raise row.error(
                    "reference",
                    f"'{reference}' stands on line {lines[reference]} already.",
                    "Take one of the two out.",
                )
            lines[reference] = row.line


def _groups(planned: Sequence[Planned]) -> list[list[Planned]]:
    """Parts that one line of an order serves, by kind, value and voltage."""
    groups: dict[tuple[str, float, float, float], list[Planned]] = {}
    for part, new in planned:
        key = (new.kind, new.value_uf, new.voltage_v, part.pitch_mm or 0)
        groups.setdefault(key, []).append((part, new))
    return [groups[key] for key in sorted(groups)]


def _line(group: Sequence[Planned], spares_pct: float) -> tuple[Cell, ...]:
    """A line of the order; what fits the least room of a group fits all of it."""
    first, new = group[0]
    parts = [part for part, _ in group]
    count = sum(len(part.references) for part in parts)
    # A little less, since 10 % of 10 must not be 2 by a rounding.
    spares = ceil(count * spares_pct / 100 - 1e-9)
    return (
        count + spares,
        new.value_uf,
        new.voltage_v,
        new.kind,
        new.temperature_c,
        first.pitch_mm,
        _least(part.diameter_mm for part in parts),
        _least(part.height_mm for part in parts),
        count,
        spares,
        _names(parts),
        "; ".join(dict.fromkeys(why for _, each in group for why in each.why)),
    )


def _each(planned: Sequence[Planned]) -> tuple[tuple[Cell, ...], ...]:
    return tuple(
        (
            _names([part]),
            _words(part.value_uf, part.voltage_v),
            f"{_words(new.value_uf, new.voltage_v)}, {new.kind}",
            "; ".join(new.why),
        )
        for part, new in planned
    )


def _left(left: Sequence[tuple[Part, str]]) -> tuple[tuple[Cell, ...], ...]:
    return tuple((_names([part]), _words(part.value_uf, part.voltage_v), why) for part, why in left)


def _names(parts: Iterable[Part]) -> str:
    return " ".join(reference for part in parts for reference in part.references)


def _words(value_uf: float, voltage_v: float) -> str:
    return f"{figure(value_uf)} µF {figure(voltage_v)} V"


def _least(lengths_mm: Iterable[float | None]) -> float | None:
    return min((length for length in lengths_mm if length is not None), default=None)


def _says(order: Table, left: Sequence[tuple[Part, str]]) -> list[str]:
    ordered = sum(int(row[0] or 0) for row in order.rows)
    fitted = sum(int(row[8] or 0) for row in order.rows)
    told = [
        f"{ordered} capacitors in {len(order.rows)} lines: {fitted} to fit, "
        f"{ordered - fitted} to spare."
    ]
    if left:
        count = sum(len(part.references) for part, _ in left)
        told.append(f"Better left as they are: {count}.")
    return told


def _cautions(parts: Sequence[Part]) -> list[str]:
    """What is live, or was made to be."""
    live = [part for part in parts if part.place in LIVE]
    other = [part for part in parts if part.is_ac and part.place not in LIVE]
    return [
        f"{_names(each)}: {what}. Fit only parts that carry the mark of their class, never a type "
        "for d.c., and keep to local codes; where they ask for a licensed person, leave it to one."
        for each, what in ((live, "on the mains"), (other, "marked for a.c."))
        if each
    ]


def _remarks(parts: Sequence[Part]) -> list[str]:
    """What was understood, and what was taken for granted."""
    aged = [p for p in parts if p.type in ("electrolytic", "tantalum") and not p.is_ac]
    no_place = [part for part in aged if not part.place]
    no_polarity = [part for part in aged if not part.polarity and part.place not in LIVE]
    told = [span for part in parts for span in part.spans]
    if no_place:
        told.append(f"{_names(no_place)}: no place told; no low ESR and no film asked.")
    if no_polarity:
        told.append(f"{_names(no_polarity)}: no polarity told; taken as polar. Look first.")
    return told


JOB = Job(
    name="recap",
    title="What to order for the capacitors of a board",
    list_key="board",
    list_says="capacitors of a board, one kind a row; reference, value and voltage must be told",
    columns=(
        Column("reference", "as printed on the board; C1 C3, C1-C4 and C1..C4 are several"),
        Column("value", "marked value, µF without a unit"),
        Column("voltage", "marked voltage, V; 250 V~ or 250VAC is one for a.c."),
        Column("polarity", "polar or bipolar"),
        Column("type", f"{', '.join(dict.fromkeys(TYPES.values()))}; electrolytic unless told"),
        Column("place", ", ".join(PLACES)),
        Column("board", "which board or stage: play amplifier, motor; tells apart what it mends"),
        Column("diameter", "room for it, mm"),
        Column("height", "room above the board, mm"),
        Column("pitch", "distance of its leads, mm"),
    ),
    inputs=(Input("spares", "parts to spare", "%", 0, 100, default=10),),
    compute=plan,
    source="common_practice",
    basis="Preferred values are those of E6 and E12 (iec_60063): within 20 % of the mark, up to "
    "half more behind a rectifier. Voltage up, never down; bipolar for bipolar; 105 degrees, since "
    "a part lasts twice as long for every ten degrees (capacitor_primer). Low ESR behind "
    "rectifiers and in converters; film up to 1 µF where signal, time or frequency hang on it and "
    "there is room (from memory). Ratings that are sold are from memory: see that your dealer has "
    "them. Change what measures bad or is known to leak; a blanket change brings its own faults.",
    example="reference;value;voltage;polarity;place;pitch\n"
    "C1;2200;15;polar;reservoir;7,5\nC2 C3;50;12;polar;coupling;2,5\nC4;1;50;bipolar;coupling;5\n",
    caution=f"{DISCHARGE_FIRST} Mark the polarity on a photograph before you take a part out: one "
    "that is fitted the wrong way round may burst at power on. Wear glasses then.",
)
