"""Text laid out: keys before lines with a hanging indent, labels, cautions.

Everything is put together from plain pieces, never from markup: what a book or a person wrote is
data. Weight and inversion are used and no colours, so that a theme can change under them and
nothing hangs on colour alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from diag.model.advice import Caution

LABEL = "bold"
QUIET = "dim"
LOUD = "bold reverse"
SEVERITY_WORDS = {"care": "CARE", "danger": "DANGER"}


def keyed(rows: Iterable[tuple[str, RenderableType]], width: int = 0) -> Table:
    """Rows of a key and its text; long text stays clear of the keys."""
    table = Table.grid(padding=(0, 1), expand=True)
    table.add_column(style=LABEL, no_wrap=True, min_width=width or None)
    table.add_column(ratio=1, overflow="fold")
    for key, text in rows:
        table.add_row(Text(key), text)
    return table


def labelled(label: str, text: str) -> Text:
    """`Label: text` in one paragraph."""
    return Text.assemble((f"{label}: ", LABEL), text)


def heading(text: str) -> Text:
    """A line that begins a part."""
    return Text(text, style="bold underline")


def caution_lines(caution: Caution, *, short: bool = False) -> RenderableType:
    """A hazard: how bad in words, what, and what to do about it unless `short`."""
    says = Text.assemble((f" {SEVERITY_WORDS[caution.severity]} ", LOUD), " ", caution.says)
    if short or not caution.do:
        return says
    return Group(says, labelled("Do", caution.do))


def spaced(parts: Sequence[RenderableType]) -> Group:
    """Parts with an empty line between."""
    apart: list[RenderableType] = []
    for part in parts:
        if apart:
            apart.append(Text())
        apart.append(part)
    return Group(*apart)
