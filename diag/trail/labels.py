"""Labels for trays and wires, and the list to put the deck together by, as one page to print."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from diag.cases.new_file import write_new_file
from diag.model.clean import html_text as text
from diag.model.html_page import page
from diag.trail.loose import Loose, StrippedLayer, reassembly_order
from diag.trail.loose_words import looks_before_closing, taken_words, thing_words

STYLE = """
body { font: 12px/1.35 Verdana, sans-serif; color: #000; background: #fff; max-width: 60em;
  margin: 1.5em auto; padding: 0 1em; }
h1 { font-size: 1.3em; border-bottom: 2px solid #000; padding-bottom: .3em; }
h2 { font-size: 1.05em; margin: 1.4em 0 .5em; break-after: avoid; }
.labels { display: flex; flex-wrap: wrap; gap: 3mm; }
.tray { border: 1px dashed #555; padding: 2mm; width: 54mm; break-inside: avoid; }
.tray b { font-size: 2.2em; }
.wire { border: 1px dashed #555; padding: 1mm 2mm; width: 42mm; break-inside: avoid; }
.wire b { font-size: 1.4em; }
.small { color: #444; font-size: .85em; }
ul { margin: .2em 0; padding-left: 1.2em; }
td { vertical-align: top; padding: .2em .5em; border-bottom: 1px solid #bbb; }
td.box { width: 1.2em; font-size: 1.3em; line-height: 1; }
tr { break-inside: avoid; }
.list { break-before: page; }
@page { margin: 12mm; }
@media print { body { margin: 0; max-width: none; } }
"""
BOX = "&#9744;"
NOTHING = "Nothing was told to be off this deck."


def labels_page(name: str, case: str, layers: Sequence[StrippedLayer]) -> str:
    """The whole page, ending in a line end.

    Args:
        name: of the deck.
        case: its id.
        layers: what was taken off, layer by layer.
    """
    return page(f"Labels: {name}", STYLE, _body(name, case, layers))


def write_labels(name: str, case: str, layers: Sequence[StrippedLayer], path: Path) -> None:
    """Write the page to a new file.

    Raises:
        ExportError: there is such a file, or it can't be written.
    """
    write_new_file(path, labels_page(name, case, layers).encode("utf-8"), "page of labels")


def _body(name: str, case: str, layers: Sequence[StrippedLayer]) -> Iterator[str]:
    things = [thing for layer in layers for thing in layer.things if thing.left]
    yield f'<h1>{text(name)} <span class="small">case {text(case)}</span></h1>'
    if not any(layer.things for layer in layers):
        yield f"<p>{NOTHING}</p>"
        return
    yield from _labels("Trays", _trays(name, things))
    yield from _labels("Wires and plugs, a label for each end", _leads(things))
    yield from _labels("Elsewhere", _elsewhere(name, things))
    yield '<div class="list">'
    yield "<h2>To put it together, the deepest layer first</h2>"
    for layer in reassembly_order(tuple(layers)):
        yield from _list(layer)
    yield "</div>"


def _labels(title: str, found: Iterable[str]) -> Iterator[str]:
    if labels := "".join(found):
        yield f'<h2>{title}</h2><div class="labels">{labels}</div>'


def _trays(name: str, things: Iterable[Loose]) -> Iterator[str]:
    trays: dict[int, list[Loose]] = {}
    for thing in things:
        if thing.taken.tray:
            trays.setdefault(thing.taken.tray, []).append(thing)
    for tray, found in sorted(trays.items()):
        rows = "".join(f"<li>{text(_numbered(thing))}</li>" for thing in found)
        where = ", ".join(dict.fromkeys(thing.taken.layer.replace("_", " ") for thing in found))
        yield (
            f'<div class="tray"><b>{tray}</b> {text(name)}<br>'
            f'<span class="small">{text(where)}</span><ul>{rows}</ul></div>'
        )


def _leads(things: Iterable[Loose]) -> Iterator[str]:
    for thing in things:
        taken = thing.taken
        if taken.what in ("wire", "plug"):
            for end in (taken.place, taken.to) if taken.to else (taken.place,):
                says = f"{taken.colour} {end}".strip() or taken.what
                yield f'<div class="wire"><b>{thing.number}</b> {text(says)}</div>'


def _elsewhere(name: str, things: Iterable[Loose]) -> Iterator[str]:
    for thing in things:
        if thing.taken.lies:
            yield (
                f'<div class="wire"><b>{thing.number}</b> {text(name)}<br>'
                f"{text(thing_words(thing.taken, thing.left))}</div>"
            )


def _list(layer: StrippedLayer) -> Iterator[str]:
    yield f"<h2>{text(layer.says)}</h2>"
    rows = "".join(
        f'<tr><td class="box">{BOX}</td><td><b>{thing.number}</b></td>'
        f"<td>{text(_with_left(thing))}</td></tr>"
        for thing in layer.loose
    )
    looks = "".join(
        f'<tr><td class="box">{BOX}</td><td></td><td>{text(look)}</td></tr>'
        for look in looks_before_closing(layer.things)
    )
    yield f"<table>{rows}{looks}</table>"


def _numbered(thing: Loose) -> str:
    note = f" ({thing.taken.note})" if thing.taken.note else ""
    return f"{thing.number}: {thing_words(thing.taken, thing.left)}{note}"


def _with_left(thing: Loose) -> str:
    left = f" ({thing.left} left)" if thing.left < thing.taken.count else ""
    return taken_words(thing.taken) + left
