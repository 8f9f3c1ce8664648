"""A compiled tree as plain text for a terminal, its branches drawn with lines."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from diag.model.clean import plain
from diag.planning.tree.told import HOW_TO_READ, Told, sheet_of
from diag.planning.tree.values import Tree

WIDTH = 78
"""Columns of the page."""
NARROWEST = 30
"""Columns that a deep branch keeps for its words, be the page wider for it."""


def plain_text(tree: Tree) -> str:
    """The whole page, ending in a line end."""
    return "\n".join(line.rstrip() for line in _lines(tree)) + "\n"


def _lines(tree: Tree) -> Iterator[str]:
    sheet = sheet_of(tree)
    yield plain(sheet.title)
    yield from _wrapped(sheet.about)
    yield from ("", *_wrapped(HOW_TO_READ))
    for word, short, says in sheet.cautions:
        yield from ("", *_wrapped(f"{word} {short}: {says}"))
    for short, says in sheet.layers:
        yield from ("", *_wrapped(f"Opened, {short}: {says}"))
    yield from ("", *_step(sheet.root, ""), "", *_wrapped(sheet.foot))


def _step(told: Told, margin: str) -> Iterator[str]:
    """A step and, below it, each answer with its share and what follows from it."""
    if told.is_end:
        causes = "; ".join(f"{chance} {says}" for chance, says in told.causes)
        yield from _wrapped(f"= {causes}. {told.spent}. {told.note}", margin)
    yield from _wrapped(
        " ".join(f"{word} {', '.join(names)}." for word, names in told.hazards), margin
    )
    if told.does:
        yield from _wrapped(f"{told.does}{f' ({told.cost})' if told.cost else ''}", margin)
    yield from _wrapped(told.rare, margin + "│  ")
    for number, below in enumerate(told.below, start=1):
        is_last = number == len(told.below)
        deeper = margin + ("   " if is_last else "│  ")
        first, *rest = _wrapped(f"{below.chance} {below.answer}".strip(), deeper)
        yield f"{margin}{'└─ ' if is_last else '├─ '}{first.removeprefix(deeper)}"
        yield from rest
        yield from _step(below, deeper)


def _wrapped(text: str, margin: str = "") -> list[str]:
    """Lines beside a margin; a number is not parted from its percent sign."""
    whole = plain(text).replace(" %", "\N{NO-BREAK SPACE}%")
    lines = wrap(whole, max(NARROWEST, WIDTH - len(margin)))
    return [margin + line.replace("\N{NO-BREAK SPACE}", " ") for line in lines]
