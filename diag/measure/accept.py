"""Figures held against what they are to be: passed, failed, or not known well enough to say."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import inf, isnan
from typing import Any, Literal, Protocol

from diag.errors import MeasureError
from diag.model.found import Figure

Verdict = Literal["pass", "fail", "not sure", "not measured"]
BOUNDS: Mapping[str, tuple[bool, bool]] = {"at_least": (False, True), "at_most": (True, False)}
"""By the word in the key of a figure that is a bound only: whether it is open below, and above."""

OTHERWISE = "otherwise"
"""The word in the key of the value that a figure has if what was taken for granted is not so."""


class Measured(Protocol):
    """What has figures: a measurement, or an event of a case."""

    @property
    def figures(self) -> Sequence[Figure]:
        """Its figures."""


class Wanted(Protocol):
    """A limit: see `diag.model.specification.Limit`."""

    @property
    def says(self) -> str:
        """The figure in words."""

    @property
    def unit(self) -> str:
        """Its unit."""

    @property
    def source(self) -> str | None:
        """Where the limit comes from, if not from where the specification does."""

    @property
    def allowed(self) -> tuple[float, float]:
        """Lowest and highest value that is taken, tolerance included."""

    @property
    def in_words(self) -> str:
        """As in `at most 0.2 %`."""


class Limits(Protocol):
    """A specification: see `diag.model.specification.Specification`."""

    @property
    def source(self) -> str:
        """Where it comes from."""

    @property
    def limits(self) -> Mapping[Any, Wanted]:
        """Limits by the keys of their figures."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One limit and what was measured of it.

    Attributes:
        key: of the figure.
        says: the figure in words.
        unit: of all its numbers.
        wanted: the limit in words.
        source: id of where the limit comes from.
        before: the figure before the repair, if it was measured.
        after: the same after it.
        was: the verdict before.
        verdict: the verdict after.
        margin: how far the figure after, or that before if it is the only one, is inside the
            limit, below nought if outside; None if neither was measured. It is as uncertain as the
            figure itself.
    """

    key: str
    says: str
    unit: str
    wanted: str
    source: str
    before: Figure | None
    after: Figure | None
    was: Verdict
    verdict: Verdict
    margin: float | None


def judged(
    before: Iterable[Measured], after: Iterable[Measured], specification: Limits
) -> tuple[Row, ...]:
    """Each limit of a specification with what was measured of it, in its order.

    A figure passes if all of its 95 % interval is allowed, and fails if none of it is.

    Args:
        before: measurements of the deck as it came; may be none.
        after: measurements after the repair, or the only ones.
        specification: the limits.

    Raises:
        MeasureError: a figure has another unit than its limit.
    """
    old, new = _by_key(before), _by_key(after)
    return tuple(
        _row(key, limit, limit.source or specification.source, (old, new))
        for key, limit in specification.limits.items()
    )


def _by_key(measured: Iterable[Measured]) -> dict[str, Figure]:
    """Figures by their key; of two of the same key the later counts."""
    return {figure.key: figure for one in measured for figure in one.figures}


def _row(
    key: str, limit: Wanted, source: str, figures: tuple[Mapping[str, Figure], Mapping[str, Figure]]
) -> Row:
    before, after = (_figure(key, limit, among) for among in figures)
    last = after or before
    low, high = limit.allowed
    return Row(
        key=key,
        says=limit.says,
        unit=limit.unit,
        wanted=limit.in_words,
        source=source,
        before=before,
        after=after,
        was=_verdict_of_both(before, limit, figures[0]),
        verdict=_verdict_of_both(after, limit, figures[1]),
        margin=None if last is None else min(last.value - low, high - last.value),
    )


def _figure(key: str, limit: Wanted, among: Mapping[str, Figure]) -> Figure | None:
    """The figure of a key, or what is known at least or at most of it."""
    for named in (key, *_bound_keys(key)):
        if named in among:
            figure = among[named]
            if figure.unit != limit.unit:
                raise MeasureError(
                    f"{key} is told in {figure.unit or 'no unit'}, but its limit is in "
                    f"{limit.unit or 'none'}.",
                    do="Write the limit in the unit of the figure.",
                )
            return figure
    return None


def _verdict_of_both(figure: Figure | None, limit: Wanted, among: Mapping[str, Figure]) -> Verdict:
    """Of a figure and of what it is otherwise, if they agree."""
    verdict = _verdict(figure, limit)
    stem, _, unit = figure.key.rpartition("_") if figure else ("", "", "")
    other = among.get(f"{stem}_{OTHERWISE}_{unit}")
    return verdict if other is None or _verdict(other, limit) == verdict else "not sure"


def _bound_keys(key: str) -> Collection[str]:
    stem, _, unit = key.rpartition("_")
    return [f"{stem}_{bound}_{unit}" for bound in BOUNDS]


def _verdict(figure: Figure | None, limit: Wanted) -> Verdict:
    if figure is None:
        return "not measured"
    if isnan(figure.value) or isnan(figure.uncertainty):
        return "not sure"
    low, high = figure.value - figure.uncertainty, figure.value + figure.uncertainty
    for bound, (open_below, open_above) in BOUNDS.items():
        if f"_{bound}_" in figure.key:
            low, high = (-inf if open_below else low), (inf if open_above else high)
    lowest, highest = limit.allowed
    if lowest <= low and high <= highest:
        return "pass"
    return "fail" if high < lowest or low > highest else "not sure"
