"""A trail as Markdown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diag.model.clean import markdown_text as md
from diag.model.words import chance_in_words
from diag.trail.before_after import Compared
from diag.trail.judged import Judged
from diag.trail.lists import (
    JUDGED_HEADS,
    LEGEND,
    figure_cells,
    judged_cells,
    lists_of,
    mark_of,
    recordings_of,
    standing_of,
)
from diag.trail.trail import Belief, ThumbTold, Trail, TrailStep


def markdown(trail: Trail) -> str:
    """The whole document, ending in a line end."""
    return "\n".join(_lines(trail)).rstrip() + "\n"


def _lines(trail: Trail) -> Iterator[str]:
    yield f"# {md(trail.name)}"
    yield ""
    yield (
        f"{md(trail.family)}. Case {md(trail.case)}, {trail.started:%Y-%m-%d} to "
        f"{trail.touched:%Y-%m-%d %H:%M} UTC, {trail.minutes:g} minutes by the book."
    )
    yield ""
    yield f"**{trail.verdict}**"
    if trail.trouble:
        yield from ("", f"Note: {md(trail.trouble)}")
    yield from _section("The deck", [f"{md(ask)} {md(value)}" for ask, value in trail.known])
    if trail.story:
        yield from ("", f"Earlier hands: {md(trail.story)}")
    yield from _section("Complaints", map(md, trail.complaints))
    yield from _section("Where it stands", map(_belief, trail.ranking))
    for title, items in lists_of(trail, md, _thumb):
        yield from _section(title, items)
    if trail.measured:
        yield from ("", "## Measured")
    for compared in trail.measured:
        yield from _measured(compared)
    if trail.judged:
        yield from _judged(trail.judged)
    yield from ("", "## Steps", "")
    for step in trail.steps:
        yield from _step(step)
    if trail.has_additions:
        yield from ("", LEGEND)
    yield from ("", f"benchtrail {trail.version}, {md(trail.books)}")


def _section(title: str, lines: Iterable[str]) -> Iterator[str]:
    told = list(lines)
    if told:
        yield from ("", f"## {title}", "")
        yield from (f"- {line}" for line in told)


def _measured(compared: Compared) -> Iterator[str]:
    """A table of the figures before and after, then what was remarked of the recordings."""
    yield from ("", f"| {md(compared.what.capitalize())} | Before | After |", "| --- | --- | --- |")
    for row in compared.rows:
        yield f"| {' | '.join(map(md, (row.says, *figure_cells(row))))} |"
    yield ""
    for first, *rest in recordings_of(compared):
        yield f"- {md(first)}"
        yield from (f"    - {md(line)}" for line in rest)


def _judged(judged: Judged) -> Iterator[str]:
    """What was wanted and what was measured; then what was not measured."""
    yield from ("", f"## Against: {md(judged.says)} ({md(judged.source)})", "")
    for line in filter(None, (judged.note, judged.trouble)):
        yield from (md(line), "")
    if judged.rows:
        yield f"| {' | '.join(('Figure', *JUDGED_HEADS))} |"
        yield "| --- | --- | --- | --- | --- |"
    for row in judged.rows:
        yield f"| {' | '.join(map(md, (row.says, *judged_cells(row))))} |"
    if judged.missing:
        yield from ("", f"Not measured: {md('; '.join(judged.missing))}")


def _belief(belief: Belief) -> str:
    return f"{chance_in_words(belief.probability)} {md(belief.says)}{mark_of(belief)}"


def _thumb(thumb: ThumbTold) -> str:
    return f"{md(thumb.says)}{mark_of(thumb)} {standing_of(thumb, md)}"


def _step(step: TrailStep) -> Iterator[str]:
    says = f"~~{md(step.says)}~~ (struck)" if step.struck else md(step.says)
    minutes = f" ({step.minutes:g} min)" if step.minutes else ""
    yield f"{step.number}. {step.at:%Y-%m-%d %H:%M} {says}{mark_of(step)}{minutes}"
    for caution in step.cautions:
        read = ", acknowledged" if caution.acknowledged else ""
        yield f"    - {caution.severity.upper()}{read}: {md(caution.says)}"
    for thumb in step.thumbs:
        yield f"    - Thumb: {_thumb(thumb)}"
    if step.after:
        yield f"    - before: {_row(step.before)}"
        yield f"    - after: {_row(step.after)}"


def _row(beliefs: Iterable[Belief]) -> str:
    return "; ".join(map(_belief, beliefs))
