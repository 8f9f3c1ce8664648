"""The best of the belts at hand for a path, and the next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

from diag.model.quantity import figure, unit
from diag.workshop.belt_load import modulus_mpa
from diag.workshop.belts import HIGH_PCT, LOW_PCT, RIGHT, SLACK, judged, shorter_pct, told_of
from diag.workshop.declaration import Input
from diag.workshop.job import Column, Job, Outcome, Table
from diag.workshop.sheet import Cell, Row, Sheet

SECTIONS = {
    word: section
    for section, words in {
        "flat": ("flat", "f"),
        "square": ("square", "sq", "s", "quadratic"),
        "round": ("round", "r", "o ring", "oring", "ring", "cord"),
    }.items()
    for word in words
}
RING_STRETCH_PCT = (8.0, 12.0)
"""Of a round ring as a belt, on its inside diameter (oring_belts)."""
RING_PULLEY = 4.0
"""Least diameter of a pulley in thicknesses of a round ring (oring_belts)."""
SAME_THICKNESS_MM = 0.1
"""Within this a belt counts as of the wanted thickness; on a small pulley it is 1 % of speed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Belt:
    """One belt at hand; None where its list doesn't say."""

    name: str
    free_mm: float
    section: str
    width_mm: float | None
    thickness_mm: float | None
    hardness: float | None

    @property
    def window_pct(self) -> tuple[float, float]:
        """Least and most that it may be shorter than its path."""
        if self.section != "round":
            return LOW_PCT, HIGH_PCT
        low, high = (100 - 100 / (1 + stretch / 100) for stretch in RING_STRETCH_PCT)
        return low, high

    def pull_n(self, stretch_pct: float) -> float | None:
        """Pull of one strand, if hardness and section are known."""
        if self.hardness is None or self.thickness_mm is None:
            return None
        thick = self.thickness_mm
        area = {
            "round": pi / 4 * thick**2,
            "square": thick**2,
            "flat": self.width_mm * thick if self.width_mm else None,
        }.get(self.section)
        return None if area is None else modulus_mpa(self.hardness) * area * stretch_pct / 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """How a belt fits a path."""

    belt: Belt
    shorter_pct: float
    stretch_pct: float
    judged: str
    margin_pct: float
    off: float
    """From the middle of its window, in half widths of it; above 1 it is slack or tight."""
    thickness_off_mm: float | None
    """From what is wanted; None if nothing is wanted, or the list doesn't say."""


def choose(sheet: Sheet, path_mm: float, thickness_mm: float, pulley_mm: float) -> Outcome:
    """Every belt of a list, best first.

    Args:
        sheet: the belts.
        path_mm: what the belt runs round.
        thickness_mm: what is wanted; 0 if any will do.
        pulley_mm: diameter of the smallest pulley; 0 if not known.

    Raises:
        BenchtrailError: a cell is not what it should be.
    """
    fits = sorted(
        (fit_of(belt_of(row), path_mm, thickness_mm) for row in sheet.rows),
        key=lambda fit: _rank(fit, wants_thickness=thickness_mm > 0),
    )
    table = Table("Belts, best first", HEADER, tuple(_cells(fit) for fit in fits))
    return Outcome(
        tuple(_says(fits, path_mm)),
        (table,),
        tuple(_remarks(fits, thickness_mm, pulley_mm)),
        tells=tuple(told_of(fit.belt.name, fit.shorter_pct, *fit.belt.window_pct) for fit in fits),
    )


def belt_of(row: Row) -> Belt:
    """The belt in a row of a list.

    Raises:
        BenchtrailError: it has no length, or two, or a cell is not what it should be.
    """
    mm = unit("mm")
    length, ring = row.number("length", mm, 5, 20000), row.number("diameter", mm, 1.5, 6400)
    if length is None and ring is None:
        raise row.error("length", "this belt has no length.", "Give its length or its diameter.")
    if length is not None and ring is not None and abs(length - pi * ring) > 0.02 * length:
        raise row.error(
            "diameter",
            f"a ring of {figure(ring)} mm is {figure(pi * ring)} mm long, not {figure(length)} mm.",
            "Measure it again, and leave one of the two out.",
        )
    return Belt(
        name=row.text("name") or f"line {row.line}",
        free_mm=length if length is not None else pi * (ring or 0),
        section=row.one_of("section", SECTIONS),
        width_mm=row.number("width", mm, 0.2, 50),
        thickness_mm=row.number("thickness", mm, 0.1, 20),
        hardness=row.number("hardness", unit("Shore A"), 20, 80),
    )


def fit_of(belt: Belt, path_mm: float, wanted_mm: float) -> Fit:
    """How a belt fits a path; `wanted_mm` is the thickness, 0 if any."""
    low, high = belt.window_pct
    shorter = shorter_pct(path_mm, belt.free_mm)
    is_known = wanted_mm > 0 and belt.thickness_mm is not None
    return Fit(
        belt=belt,
        shorter_pct=shorter,
        stretch_pct=(path_mm / belt.free_mm - 1) * 100,
        judged=judged(shorter, low, high),
        margin_pct=min(abs(shorter - low), abs(shorter - high)),
        off=abs(shorter - (low + high) / 2) / ((high - low) / 2),
        thickness_off_mm=(belt.thickness_mm or 0) - wanted_mm if is_known else None,
    )


def _rank(fit: Fit, *, wants_thickness: bool) -> tuple[bool, int, float]:
    """Right ones by thickness (wanted, not told, another) and by the middle; the rest by limit."""
    if fit.judged != RIGHT:
        return True, 0, fit.margin_pct
    off = fit.thickness_off_mm
    if not wants_thickness:
        thickness = 0
    elif off is None:
        thickness = 1
    else:
        thickness = 2 if _is_other(off) else 0
    return False, thickness, fit.off


def _is_other(thickness_off_mm: float) -> bool:
    # A little more, since 0.6 - 0.5 is above 0.1 in binary.
    return abs(thickness_off_mm) > SAME_THICKNESS_MM + 1e-9


HEADER = (
    "name",
    "judged",
    "margin_pct",
    "shorter_pct",
    "stretch_pct",
    "length_mm",
    "section",
    "thickness_mm",
    "pull_n",
)


def _cells(fit: Fit) -> tuple[Cell, ...]:
    belt = fit.belt
    return (
        belt.name,
        fit.judged.partition(",")[0],
        fit.margin_pct,
        fit.shorter_pct,
        fit.stretch_pct,
        belt.free_mm,
        belt.section,
        belt.thickness_mm,
        belt.pull_n(fit.stretch_pct) if fit.stretch_pct > 0 else None,
    )


def _says(fits: Sequence[Fit], path_mm: float) -> list[str]:
    """The best, the next, and what to order where none is right."""
    best, *others = fits
    told = [f"{'Best' if best.judged == RIGHT else 'None is right. Nearest'}: {_fit_words(best)}"]
    if others:
        told.append(f"Next: {_fit_words(others[0])}")
    if best.judged != RIGHT:
        most, least = (path_mm * (1 - pct / 100) for pct in (LOW_PCT, HIGH_PCT))
        told.append(
            f"Order a flat or square belt of {figure(least)} to {figure(most)} mm for this path."
        )
    return told


def _fit_words(fit: Fit) -> str:
    """With a margin in tenths of a point: half a millimetre is two of them on a path of 250 mm."""
    margin = round(fit.margin_pct, 1)
    if margin:
        side = "inside" if fit.judged == RIGHT else "past"
        where = f"{figure(margin)} points {side} the nearest limit"
    else:
        where = "on the limit"
    return (
        f"{fit.belt.name}, {fit.judged}; {figure(fit.shorter_pct, 3)} % shorter than the path, "
        f"{where}."
    )


def _remarks(fits: Sequence[Fit], wanted_mm: float, pulley_mm: float) -> list[str]:
    """What the figures don't say of the best two."""
    told = []
    for fit in fits[:2]:
        belt, off = fit.belt, fit.thickness_off_mm
        if not belt.section:
            told.append(f"{belt.name}: no section told; judged as flat or square.")
        if wanted_mm > 0 and off is None:
            told.append(f"{belt.name}: no thickness told; measure it, for it changes the speed.")
        elif off is not None and _is_other(off):
            kind = "thicker" if off > 0 else "thinner"
            told.append(
                f"{belt.name}: {figure(abs(off), 2)} mm {kind} than wanted; `belt_thickness` tells "
                "what that does to the speed."
            )
        if belt.section == "round":
            told.append(f"{belt.name}: a round ring; in a flat groove it climbs and slips.")
            least = RING_PULLEY * (belt.thickness_mm or 0)
            if 0 < pulley_mm < least:
                told.append(
                    f"{belt.name}: it wants a pulley of {figure(least)} mm at least, and the "
                    f"smallest here has {figure(pulley_mm)} mm."
                )
        if fit.judged == SLACK and fit.shorter_pct <= 0:
            told.append(f"{belt.name}: it is no shorter than its path and won't grip at all.")
    return told


JOB = Job(
    name="belt_choice",
    title="The best of the belts at hand for a path, and the next",
    list_key="belts",
    list_says="belts at hand, one a row; all but the length may be missing",
    columns=(
        Column("name", "what you call it"),
        Column("length", "length at rest along its inside, mm"),
        Column("diameter", "or its inside diameter as a ring, mm"),
        Column("section", "flat, square or round"),
        Column("width", "of a flat belt, mm"),
        Column("thickness", "mm"),
        Column("hardness", "Shore A"),
    ),
    inputs=(
        Input("path", "length of the path", "mm", 5, 20000),
        Input("thickness", "thickness that is wanted, 0 for any", "mm", 0, 20, default=0),
        Input("pulley", "diameter of the smallest pulley, 0 if unknown", "mm", 0, 5000, default=0),
    ),
    compute=choose,
    source="belt_measuring",
    basis="Right is a flat or square belt 5 to 10 % shorter than its path (published), and a round "
    "ring stretched by 8 to 12 % over pulleys of four times its thickness (published, "
    "oring_belts). Right ones come first, those of the wanted thickness before others, then by "
    "how near they are to the middle; the rest follow by what they lack. A pull is hardness, "
    "section and stretch by the formula of `belt_load`, within about 30 %.",
    example="name;length;section;thickness\nA;238,1;flat;0,6\nB;230;square;1,2\n",
    example_given={"path": "250 mm", "thickness": "1.2 mm"},
)
