"""The recordings of a case side by side: as the deck came, and after it was mended."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TypeAlias

from diag.cases.captured import Likely
from diag.cases.events import Captured
from diag.cases.fold import CaseState
from diag.model.found import Curve, Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """One recording that was measured; `event` is its number in the case."""

    event: int
    at: datetime
    file: str
    remarks: tuple[str, ...]
    likely: tuple[Likely, ...]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureRow:
    """A figure before and after, None where it was not measured.

    The uncertainties are half the widths of 95 % intervals; all in `unit`.
    """

    key: str
    says: str
    unit: str
    before: float | None
    before_uncertainty: float | None
    after: float | None
    after_uncertainty: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePair:
    """A curve before and after, None where there is none; at least one is there."""

    says: str
    before: Curve | None
    after: Curve | None

    @property
    def title(self) -> str:
        """What is drawn, and in what unit."""
        unit = self.curves[0].y_unit
        return f"{self.says}, {unit}" if unit else self.says

    @property
    def curves(self) -> tuple[Curve, ...]:
        """Those that are there."""
        return tuple(curve for curve in (self.before, self.after) if curve is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """All that one kind of measurement found of a deck."""

    what: str
    before: Taken | None
    after: Taken | None
    rows: tuple[FigureRow, ...]
    curves: tuple[CurvePair, ...]

    @property
    def taken(self) -> tuple[Taken, ...]:
        """The recordings that are there."""
        return tuple(taken for taken in (self.before, self.after) if taken is not None)


def before_and_after(state: CaseState) -> tuple[Compared, ...]:
    """Each kind of measurement, in the order in which they were first made.

    'Before' is the last recording before the first remedy that was done, 'after' the last one of
    all behind it: whoever records again, does so because the recording before was not good enough.
    """
    before, after = _sides(state)
    return tuple(
        _compared(what, before.get(what), after.get(what))
        for what in dict.fromkeys(event.what for _, event in state.captures)
    )


def sides(state: CaseState) -> tuple[tuple[Captured, ...], tuple[Captured, ...]]:
    """The recordings that count before and after the repair, one of each kind at most."""
    before, after = _sides(state)
    return tuple(e for _, e in before.values()), tuple(e for _, e in after.values())


_Side: TypeAlias = dict[str, tuple[int, Captured]]


def _sides(state: CaseState) -> tuple[_Side, _Side]:
    """By the kind of measurement; of several the last."""
    first_remedy = min((step.event for step in state.remedies), default=state.last + 1)
    before: _Side = {}
    after: _Side = {}
    for number, event in state.captures:
        (before if number < first_remedy else after)[event.what] = (number, event)
    return before, after


def _compared(
    what: str, before: tuple[int, Captured] | None, after: tuple[int, Captured] | None
) -> Compared:
    old = before[1] if before else None
    new = after[1] if after else None
    return Compared(
        what=what,
        before=_taken(*before) if before else None,
        after=_taken(*after) if after else None,
        rows=tuple(_rows(old.figures if old else (), new.figures if new else ())),
        curves=tuple(_pairs(old.curves if old else (), new.curves if new else ())),
    )


def _taken(number: int, event: Captured) -> Taken:
    return Taken(
        event=number,
        at=event.at,
        file=event.file,
        remarks=event.remarks,
        likely=event.likely,
        source=event.source,
    )


def _rows(before: Sequence[Figure], after: Sequence[Figure]) -> Iterable[FigureRow]:
    old, new = ({figure.key: figure for figure in figures} for figures in (before, after))
    for key in dict.fromkeys((*old, *new)):
        was, now = old.get(key), new.get(key)
        either = now or old[key]
        yield FigureRow(
            key=key,
            says=either.says[:1].upper() + either.says[1:],
            unit=either.unit,
            before=was.value if was else None,
            before_uncertainty=was.uncertainty if was else None,
            after=now.value if now else None,
            after_uncertainty=now.uncertainty if now else None,
        )


def _pairs(before: Sequence[Curve], after: Sequence[Curve]) -> Iterable[CurvePair]:
    old, new = ({curve.name: curve for curve in curves} for curves in (before, after))
    for name in dict.fromkeys((*old, *new)):
        was, now = old.get(name), new.get(name)
        says = (now or old[name]).says
        yield CurvePair(says=says[:1].upper() + says[1:], before=was, after=now)
