"""A compiled tree as Markdown: one nested list."""

from __future__ import annotations

from collections.abc import Iterator

from diag.model.clean import markdown_text as md
from diag.planning.tree.told import HOW_TO_READ, Told, sheet_of
from diag.planning.tree.values import Tree


def markdown(tree: Tree) -> str:
    """The whole document, ending in a line end."""
    return "\n".join(_lines(tree)) + "\n"


def _lines(tree: Tree) -> Iterator[str]:
    sheet = sheet_of(tree)
    yield from (f"# {md(sheet.title)}", "", md(sheet.about), "", HOW_TO_READ)
    if sheet.cautions:
        yield from ("", "## Cautions", "")
        for word, short, says in sheet.cautions:
            yield f"- **{word} {md(short)}**: {md(says)}"
    if sheet.layers:
        yield from ("", "## What is opened", "")
        yield from (f"- **{md(short)}**: {md(says)}" for short, says in sheet.layers)
    yield from ("", "## The way", "")
    yield from _list(sheet.root, 0)
    yield from ("", md(sheet.foot))


def _list(told: Told, level: int) -> Iterator[str]:
    yield f"{'    ' * level}- {' '.join(_parts(told))}"
    for below in told.below:
        yield from _list(below, level + 1)


def _parts(told: Told) -> Iterator[str]:
    if told.answer:
        yield f"**{md(told.answer)}**{f' ({told.chance})' if told.chance else ''}:"
    if told.is_end:
        causes = "; ".join(f"{chance} {md(says)}" for chance, says in told.causes)
        yield f"{causes}. {told.spent}."
    if told.note:
        yield told.note
    yield from (f"**{word} {md(', '.join(names))}.**" for word, names in told.hazards)
    if told.does:
        yield md(told.does)
    if told.cost:
        yield f"({md(told.cost)})"
    if told.rare:
        yield md(told.rare)
