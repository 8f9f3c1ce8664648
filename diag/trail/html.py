"""A trail as one HTML page that needs nothing from elsewhere and prints well."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape

from diag.model.clean import html_text as text
from diag.model.html_page import page
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
from diag.trail.svg import STYLE as CURVES_STYLE
from diag.trail.svg import picture
from diag.trail.trail import Belief, ThumbTold, Trail, TrailStep

STYLE = """
body { font: 15px/1.45 Georgia, serif; color: #1d1b18; background: #fbf9f4; max-width: 52em;
  margin: 2em auto; padding: 0 1.2em; }
h1, h2 { font-family: Verdana, sans-serif; line-height: 1.2; }
h1 { font-size: 1.5em; border-bottom: 3px solid #6b5b3e; padding-bottom: .3em; }
h2 { font-size: 1.05em; margin-top: 1.8em; color: #5a4a2f; }
.verdict { border: 1px solid #6b5b3e; padding: .4em .8em; display: inline-block;
  font-weight: bold; }
table { border-collapse: collapse; width: 100%; }
td, th { text-align: left; vertical-align: top; padding: .25em .6em .25em 0;
  border-bottom: 1px solid #ddd6c6; }
td.chance, td.number { text-align: right; white-space: nowrap; width: 4.5em; }
td.share { width: 8.5em; }
.bar { background: #6b5b3e; height: .55em; display: inline-block; min-width: 1px;
  print-color-adjust: exact; -webkit-print-color-adjust: exact; }
.step { break-inside: avoid; border-left: 3px solid #ddd6c6; padding-left: .8em; margin: .7em 0; }
.step p { margin: .15em 0; }
.when, .small { color: #6f6759; font-size: .85em; }
.danger { border-left: 4px solid #8a1f11; padding-left: .5em; }
del { color: #8b8375; }
@media print { body { font-size: 10pt; background: #fff; margin: 0; max-width: none; }
  h2 { break-after: avoid; } tr { break-inside: avoid; } }
"""


def html(trail: Trail) -> str:
    """The whole page, ending in a line end."""
    style = STYLE + (CURVES_STYLE if trail.measured else "")
    return page(trail.name, style, _body(trail))


def _body(trail: Trail) -> Iterator[str]:
    yield f"<h1>{text(trail.name)}</h1>"
    yield (
        f'<p class="small">{text(trail.family)}. Case {text(trail.case)}, '
        f"{trail.started:%Y-%m-%d} to {trail.touched:%Y-%m-%d %H:%M} UTC, "
        f"{trail.minutes:g} minutes by the book.</p>"
    )
    yield f'<p class="verdict">{trail.verdict}</p>'
    if trail.trouble:
        yield f"<p><b>Note</b>: {text(trail.trouble)}</p>"
    rows = "".join(f"<tr><td>{text(a)}</td><td>{text(v)}</td></tr>" for a, v in trail.known)
    if rows:
        yield f"<h2>The deck</h2><table>{rows}</table>"
    if trail.story:
        yield f"<p>Earlier hands: {text(trail.story)}</p>"
    yield from _list("Complaints", map(text, trail.complaints))
    if trail.ranking:
        yield f"<h2>Where it stands</h2>{_table(trail.ranking)}"
    for title, items in lists_of(trail, text, _thumb):
        yield from _list(title, items)
    yield from _figures(trail)
    yield "<h2>Steps</h2>"
    for step in trail.steps:
        yield _step(step)
    if trail.has_additions:
        yield f'<p class="small">{LEGEND}</p>'
    yield f'<p class="small">benchtrail {text(trail.version)}, {text(trail.books)}</p>'


def _list(title: str, items: Iterable[str]) -> Iterator[str]:
    told = "".join(f"<li>{item}</li>" for item in items)
    if told:
        yield f"<h2>{title}</h2><ul>{told}</ul>"


def _table(beliefs: Iterable[Belief]) -> str:
    rows = "".join(
        f'<tr><td class="chance">{escape(chance_in_words(b.probability))}</td>'
        f"<td>{text(b.says)}{mark_of(b)}</td>"
        f'<td class="share"><span class="bar" style="width:{b.probability * 8:.2f}em"></span></td>'
        "</tr>"
        for b in beliefs
    )
    return f"<table>{rows}</table>"


def _figures(trail: Trail) -> Iterator[str]:
    """What recordings hold, and what they were held against."""
    if trail.measured:
        yield "<h2>Measured</h2>"
    for compared in trail.measured:
        yield from _measured(compared)
    if trail.judged:
        yield from _judged(trail.judged)


def _measured(compared: Compared) -> Iterator[str]:
    """Figures before and after, what was remarked, and the curves."""
    title = text(compared.what.capitalize())
    rows = "".join(
        f"<tr><td>{text(row.says)}</td>"
        + "".join(f"<td>{text(cell)}</td>" for cell in figure_cells(row))
        + "</tr>"
        for row in compared.rows
    )
    yield f"<table><tr><th>{title}</th><th>Before</th><th>After</th></tr>{rows}</table>"
    for lines in recordings_of(compared):
        yield f'<p class="small">{"<br>".join(map(text, lines))}</p>'
    for pair in compared.curves:
        yield picture(pair)


def _judged(judged: Judged) -> Iterator[str]:
    """What was wanted and what was measured; then what was not measured."""
    yield f"<h2>Against: {text(judged.says)} ({text(judged.source)})</h2>"
    for line in filter(None, (judged.note, judged.trouble)):
        yield f"<p>{text(line)}</p>"
    rows = "".join(
        f"<tr><td>{text(row.says)}</td>"
        + "".join(f"<td>{text(cell)}</td>" for cell in judged_cells(row))
        + "</tr>"
        for row in judged.rows
    )
    if rows:
        head = "".join(f"<th>{title}</th>" for title in ("Figure", *JUDGED_HEADS))
        yield f"<table><tr>{head}</tr>{rows}</table>"
    if judged.missing:
        yield f'<p class="small">Not measured: {text("; ".join(judged.missing))}</p>'


def _thumb(thumb: ThumbTold) -> str:
    return (
        f'{text(thumb.says)}{mark_of(thumb)} <span class="small">{standing_of(thumb, text)}</span>'
    )


def _step(step: TrailStep) -> str:
    says = f"<del>{text(step.says)}</del> (struck)" if step.struck else text(step.says)
    minutes = f", {step.minutes:g} min" if step.minutes else ""
    lines = [
        f"<p><b>{step.number}</b> {says}{mark_of(step)} "
        f'<span class="when">{step.at:%Y-%m-%d %H:%M}{minutes}</span></p>'
    ]
    for caution in step.cautions:
        read = ", acknowledged" if caution.acknowledged else ""
        mark = ' class="danger"' if caution.severity == "danger" else ""
        lines.append(f"<p{mark}><b>{caution.severity.upper()}{read}</b>: {text(caution.says)}</p>")
    lines += [f"<p>Thumb: {_thumb(thumb)}</p>" for thumb in step.thumbs]
    if step.after:
        lines.append(
            f'<p class="small">before: {_row(step.before)}<br>after: {_row(step.after)}</p>'
        )
    return f'<div class="step">{"".join(lines)}</div>'


def _row(beliefs: Iterable[Belief]) -> str:
    return "; ".join(
        f"{escape(chance_in_words(b.probability))} {text(b.says)}{mark_of(b)}" for b in beliefs
    )
