"""The figures of a case held against a specification."""

from __future__ import annotations

from dataclasses import dataclass

from diag.cases.fold import CaseState
from diag.errors import MeasureError
from diag.measure.accept import Row, Verdict, judged
from diag.model.found import Figure
from diag.model.specification import Specification
from diag.trail.before_after import sides

NOT_CHOSEN = "Taken because no specification was chosen for this deck."


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedRow:
    """One limit, with what was measured of it before and after, None where nothing was.

    `was` and `verdict` are the verdicts before and after; `margin` is how far the figure after, or
    that before if it is the only one, lies inside the limit, below nought if outside. All numbers
    are in `unit`.
    """

    key: str
    says: str
    unit: str
    wanted: str
    source: str
    before: float | None
    before_uncertainty: float | None
    was: Verdict
    after: float | None
    after_uncertainty: float | None
    verdict: Verdict
    margin: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A specification with its limits: those of which something was measured, and the others.

    `note` says that nobody chose it, empty if somebody did; `trouble` why nothing could be judged,
    empty if it could.
    """

    says: str
    source: str
    note: str = ""
    rows: tuple[JudgedRow, ...] = ()
    missing: tuple[str, ...] = ()
    trouble: str = ""


def judged_by(state: CaseState, fallback: Specification | None) -> Judged | None:
    """All recordings of a case against what was chosen for it, or else against the fallback.

    None where there is neither, or no recording.
    """
    specification = state.held_against or fallback
    if specification is None or not state.captures:
        return None
    before, after = sides(state)
    says, source = specification.says, str(specification.source)
    note = "" if state.held_against else NOT_CHOSEN
    try:
        rows = judged(before, after, specification)
    except MeasureError as error:
        return Judged(says=says, source=source, note=note, trouble=str(error))
    return Judged(
        says=says,
        source=source,
        note=note,
        rows=tuple(_row(row) for row in rows if row.before or row.after),
        missing=tuple(row.says for row in rows if not (row.before or row.after)),
    )


def _row(row: Row) -> JudgedRow:
    was, now = _numbers(row.before), _numbers(row.after)
    return JudgedRow(
        key=row.key,
        says=row.says,
        unit=row.unit,
        wanted=row.wanted,
        source=row.source,
        before=was[0],
        before_uncertainty=was[1],
        was=row.was,
        after=now[0],
        after_uncertainty=now[1],
        verdict=row.verdict,
        margin=row.margin,
    )


def _numbers(figure: Figure | None) -> tuple[float | None, float | None]:
    return (figure.value, figure.uncertainty) if figure else (None, None)
