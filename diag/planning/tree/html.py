"""A compiled tree as one HTML page that prints on A4."""

from __future__ import annotations

from collections.abc import Iterator

from diag.model.clean import html_text as text
from diag.model.html_page import page
from diag.planning.tree.told import HOW_TO_READ, Told, sheet_of
from diag.planning.tree.values import Tree

STYLE = """
@page { size: A4; margin: 14mm 12mm; }
body { font: 14px/1.35 Arial, Helvetica, sans-serif; color: #1d1b18; max-width: 60em;
  margin: 1.5em auto; padding: 0 1em; }
h1 { font-size: 1.5em; border-bottom: 3px solid #6b5b3e; padding-bottom: .2em; margin: 0 0 .4em; }
h2 { font-size: 1.05em; color: #5a4a2f; margin: 1.2em 0 .3em; break-after: avoid; }
p { margin: .3em 0; }
ul { list-style: none; margin: 0; padding: 0; }
.way ul { padding-left: 1.1em; border-left: 1px solid #b9ac92; margin-left: .3em; }
.way li { margin: .3em 0; }
.way p { break-inside: avoid; margin: 0; }
.answer { font-weight: bold; }
.share, .cost, .rare, .small { color: #6f6759; font-size: .9em; }
.share { white-space: nowrap; }
.end { background: #f3eee2; padding: .1em .4em; print-color-adjust: exact;
  -webkit-print-color-adjust: exact; }
.danger { color: #8a1f11; }
@media print {
  body { font-size: 7.5pt; line-height: 1.22; margin: 0; padding: 0; max-width: none; }
}
"""


def html(tree: Tree) -> str:
    """The whole page, ending in a line end."""
    return page(tree.book.symptoms[tree.symptom].says, STYLE, _body(tree))


def _body(tree: Tree) -> Iterator[str]:
    sheet = sheet_of(tree)
    yield f"<h1>{text(sheet.title)}</h1>"
    yield f'<p class="small">{text(sheet.about)}</p>'
    yield f'<p class="small">{text(HOW_TO_READ)}</p>'
    if sheet.cautions:
        yield "<h2>Cautions</h2><ul>"
        for word, short, says in sheet.cautions:
            yield f"<li>{_hazard(word, short)}: {text(says)}</li>"
        yield "</ul>"
    if sheet.layers:
        yield "<h2>What is opened</h2><ul>"
        yield from (f"<li><b>{text(short)}</b>: {text(says)}</li>" for short, says in sheet.layers)
        yield "</ul>"
    yield '<h2>The way</h2><div class="way">'
    yield from _step(sheet.root)
    yield "</div>"
    yield f'<p class="small">{text(sheet.foot)}</p>'


def _step(told: Told) -> Iterator[str]:
    """A step and what follows from its answers; the tree is a list of lists."""
    mark = ' class="end"' if told.is_end else ""
    yield f"<p{mark}>{' '.join(_parts(told))}</p>"
    if told.below:
        yield "<ul>"
        for below in told.below:
            yield "<li>"
            yield from _step(below)
            yield "</li>"
        yield "</ul>"


def _parts(told: Told) -> Iterator[str]:
    if told.answer:
        share = f' <span class="share">{text(told.chance)}</span>' if told.chance else ""
        yield f'<span class="answer">{text(told.answer)}</span>{share}<br>'
    if told.is_end:
        causes = "; ".join(f"{text(chance)} {text(says)}" for chance, says in told.causes)
        yield f"{causes}. <b>{text(told.spent)}.</b> {text(told.note)}<br>"
    yield from (f"{_hazard(word, ', '.join(names))}." for word, names in told.hazards)
    if told.does:
        yield text(told.does)
    if told.cost:
        yield f'<span class="cost">({text(told.cost)})</span>'
    if told.rare:
        yield f'<br><span class="rare">{text(told.rare)}</span>'


def _hazard(word: str, names: str) -> str:
    mark = ' class="danger"' if word == "DANGER" else ""
    return f"<b{mark}>{text(word)} {text(names)}</b>"
