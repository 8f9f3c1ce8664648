"""The lists of a trail, in the order in which every renderer has them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from diag.model.words import chance_in_words
from diag.trail.before_after import Compared, FigureRow
from diag.trail.judged import JudgedRow
from diag.trail.trail import Belief, PartTold, RemedyTold, ThingTold, ThumbTold, Trail, TrailStep
from diag.trail.words import figure_words

LEGEND = "(your addition): from your own additions to the book, not from the book as shipped."
DONE_WITH = {"fitted": "fitted or used"}
"""Of a part whose work is done, since a swab is never fitted."""

Escape = Callable[[str], str]
"""Makes a text of the case safe for a format."""


def lists_of(
    trail: Trail, escape: Escape, thumb: Callable[[ThumbTold], str]
) -> Iterator[tuple[str, Iterable[str]]]:
    """Title and items of each list after the ranking; empty ones too."""
    yield "What follows from the facts", map(escape, trail.concluded)
    yield "Open questions for the next sitting", map(escape, trail.open_questions)
    yield "Still open", map(escape, trail.open_layers)
    yield "Remedies", (_remedy(told, escape) for told in trail.remedies)
    yield "Parts", (_part(told, escape) for told in trail.parts)
    yield "Taken off", (_thing(told, escape) for told in trail.things)
    yield "Rules of thumb", map(thumb, trail.thumbs)
    yield "No longer in the book", map(escape, trail.left_out)


def standing_of(thumb: ThumbTold, escape: Escape) -> str:
    """Where a thumb comes from: its standing, and its source if that is published."""
    source = f": {escape(thumb.source)}" if thumb.standing == "published" else ""
    return f"({thumb.standing}{source})"


def mark_of(told: Belief | RemedyTold | ThumbTold | TrailStep) -> str:
    """What stands after something that comes from the user's additions."""
    return " (your addition)" if told.is_addition else ""


def figure_cells(row: FigureRow) -> tuple[str, str]:
    """A figure before and after, each with its uncertainty; empty where it was not measured."""
    return (
        _figure(row.before, row.before_uncertainty, row.unit),
        _figure(row.after, row.after_uncertainty, row.unit),
    )


JUDGED_HEADS = ("Wanted", "Before", "After", "Margin")
"""What stands above `judged_cells`."""


def judged_cells(row: JudgedRow) -> tuple[str, str, str, str]:
    """A limit, what was measured before and after with its verdict, and the margin."""
    within = row.before_uncertainty if row.after is None else row.after_uncertainty
    return (
        row.wanted,
        _verdict(_figure(row.before, row.before_uncertainty, row.unit), row.was),
        _verdict(_figure(row.after, row.after_uncertainty, row.unit), row.verdict),
        _figure(row.margin, within, row.unit),
    )


def _verdict(figure: str, verdict: str) -> str:
    return f"{figure}: {verdict}" if figure else ""


def recordings_of(compared: Compared) -> tuple[tuple[str, ...], ...]:
    """For each recording its file, with what was remarked of it and what is likely behind it."""
    return tuple(
        (
            f"{'Before' if taken is compared.before else 'After'}, event {taken.event}: "
            f"{taken.file}",
            *taken.remarks,
            *(f"{chance_in_words(part.chance)} {part.says}" for part in taken.likely),
        )
        for taken in compared.taken
    )


def _figure(value: float | None, uncertainty: float | None, unit: str) -> str:
    if value is None or uncertainty is None:
        return ""
    return figure_words(value, uncertainty, unit)


def _remedy(told: RemedyTold, escape: Escape) -> str:
    parts = f"; parts: {escape(', '.join(told.parts))}" if told.parts else ""
    note = f"; {escape(told.note)}" if told.note else ""
    return f"{escape(told.says)}{mark_of(told)}: {told.outcome}{parts}{note}"


def _part(told: PartTold, escape: Escape) -> str:
    price = "" if told.price is None else f", {told.price:.2f} each"
    work = f"; for: {escape(told.work)}" if told.work else ""
    state = DONE_WITH.get(told.state, told.state)
    note = f"; {escape(told.note)}" if told.note else ""
    return f"{told.count} x {escape(told.part)}: {state}{price}{work}{note}"


def _thing(told: ThingTold, escape: Escape) -> str:
    """With the number of its label, its layer, and whether it is accounted for."""
    left = f"{told.left} unaccounted for" if told.left else "all accounted for"
    back = "; ".join(map(escape, told.returned))
    after = f" ({back})" if back else ""
    return f"Label {told.number}, {escape(told.layer)}: {escape(told.says)}; {left}{after}"
