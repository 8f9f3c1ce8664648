"""The capacitors of a board as a list has them, and what their places ask for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from diag.model.quantity import unit
from diag.model.units import Unit
from diag.workshop.references import read_references
from diag.workshop.sheet import Row
from diag.workshop.voltage_mark import read_voltage

Value = Literal["near", "up", "same"]
"""How a new value may lie to the old: near it, near or above it, or the same within little."""


@dataclass(frozen=True, slots=True)
class Place:
    """What a place on a board asks of a capacitor.

    Args:
        says: what it is.
        words: how a list may call it besides its key.
        value: how the new value may lie.
        low_esr: whether ripple makes it hot.
        film: whether a film part serves better, if it is small enough.
        note: what to know of it, with its standing.
    """

    says: str
    words: tuple[str, ...] = ()
    value: Value = "near"
    low_esr: bool = False
    film: bool = False
    note: str = ""


PLACES: Mapping[str, Place] = {
    "decoupling": Place("supply of a stage", ("bypass", "rail", "supply")),
    "reservoir": Place(
        "behind a rectifier", ("smoothing", "ripple", "main filter"), value="up", low_esr=True
    ),
    "converter": Place("of a switching converter", ("switching", "dc dc"), low_esr=True),
    "regulator": Place(
        "at a regulator",
        ("stabiliser",),
        note="standard series resistance, since some regulators sing with less (from memory)",
    ),
    "motor": Place("in a motor or on its servo board", ("servo", "governor")),
    "coupling": Place("in the way of the signal", ("signal", "audio"), film=True),
    "timing": Place("sets a time", ("delay", "muting", "mute"), value="same", film=True),
    "filter": Place("sets a frequency", ("tone", "equaliser", "eq"), value="same", film=True),
    "mains": Place("across the mains", ("line", "x", "x2", "spark")),
    "mains to case": Place("from the mains to the case", ("line to case", "y", "y2")),
    "motor run": Place("in series with a winding of a mains motor", ("phase", "motor start")),
}
UNTOLD = "decoupling"
"""What a place that isn't told counts as: nothing is asked of the part that it hadn't."""

TYPES = {
    word: kind
    for kind, words in {
        "electrolytic": ("electrolytic", "elco", "elko", "e", "aluminium", "al"),
        "tantalum": ("tantalum", "ta", "bead", "tant"),
        "film": ("film", "polyester", "polypropylene", "polystyrene", "mylar", "foil"),
        "ceramic": ("ceramic", "cer", "disc"),
        "paper": ("paper", "metal paper", "metallised paper"),
    }.items()
    for word in words
}
POLARITIES = {
    word: kind
    for kind, words in {
        "polar": ("polar", "p", "yes", "+", "polarised", "polarized"),
        "bipolar": ("bipolar", "bp", "np", "n", "no", "non polar", "nonpolar", "unpolar"),
    }.items()
    for word in words
}
_PLACE_WORDS = {word: key for key, place in PLACES.items() for word in (key, *place.words)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Capacitors of a board that are alike; None or empty where the list doesn't say.

    `spans` are the references that were written as one, each with what was understood; `is_ac`
    tells that the voltage is marked as an alternating one.
    """

    references: tuple[str, ...]
    spans: tuple[str, ...]
    value_uf: float
    voltage_v: float
    is_ac: bool
    polarity: str
    type: str
    place: str
    board: str
    diameter_mm: float | None
    height_mm: float | None
    pitch_mm: float | None


def part_of(row: Row) -> Part:
    """The part in a row.

    Raises:
        BenchtrailError: a cell is empty that may not be, or is not what it should be.
    """
    references, spans = read_references(row)
    voltage_v, is_ac = read_voltage(row)
    return Part(
        references=references,
        spans=spans,
        value_uf=_figure(row, "value", unit("µF"), 1e-6, 1e6),
        voltage_v=voltage_v,
        is_ac=is_ac,
        polarity=row.one_of("polarity", POLARITIES),
        type=row.one_of("type", TYPES) or "electrolytic",
        place=row.one_of("place", _PLACE_WORDS),
        board=row.text("board"),
        diameter_mm=row.number("diameter", unit("mm"), 1, 200),
        height_mm=row.number("height", unit("mm"), 1, 300),
        pitch_mm=row.number("pitch", unit("mm"), 0.5, 100),
    )


def _figure(row: Row, column: str, of: Unit, low: float, high: float) -> float:
    row.needed(column)
    value = row.number(column, of, low, high)
    assert value is not None
    return value
