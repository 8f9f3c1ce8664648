"""The ranked causes as bars, with what the last answer changed."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import fill
from typing import TYPE_CHECKING

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text
from textual.events import Resize
from textual.message import Message
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from diag.session.words import ranked_chance
from screens.widgets.lines import QUIET

if TYPE_CHECKING:
    from diag.session.assessment import RankedCause

WIDE = 46
"""Cells from which a cause fits on one line."""
LEAST = 0.0005
"""Causes below this are not listed: as good as out."""
FULL, MAYBE, EMPTY = "━", "╍", "─"
"""A bar: up to the probability, or its lower bound; up to its upper bound; the rest."""


class CauseList(OptionList):
    """One row a cause, the most probable first."""

    DEFAULT_CSS = """
    CauseList { height: 1fr; border: none; background: $background; padding: 0 1; }
    """

    class Opened(Message):
        """A person wants to know more of a cause."""

        def __init__(self, cause: str) -> None:
            super().__init__()
            self.cause = cause

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self._ranking: Sequence[RankedCause] = ()

    def show(self, ranking: Sequence[RankedCause]) -> None:
        """Draw a ranking."""
        self._ranking = [c for c in ranking if c.probability >= LEAST]
        self._draw()

    def on_resize(self, event: Resize) -> None:
        """Lay out for the new width."""
        self._draw()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Pass on which cause it was."""
        event.stop()
        self.post_message(self.Opened(str(event.option_id)))

    def _draw(self) -> None:
        at = self.highlighted
        # The same width whether the list scrolls or not, or each would bring the other about.
        room = self.outer_size.width - self.styles.gutter.width
        width = max(20, room - self.styles.scrollbar_size_vertical)
        self.clear_options()
        self.add_options(Option(row(cause, width), id=cause.id) for cause in self._ranking)
        if self._ranking:
            self.highlighted = min(at or 0, len(self._ranking) - 1)


def row(cause: RankedCause, width: int) -> RenderableType:
    """A cause in one line if there is room, else its whole name with the bar below it."""
    chance = f"{ranked_chance(cause):>5}"
    change = f"{change_in_words(cause.change):<5}" if cause.bounds is None else ""
    low, high = cause.bounds or (cause.probability, cause.probability)
    if width >= WIDE:
        room = max(10, (width - 14) // 3)
        table = Table.grid(padding=(0, 1), expand=True)
        table.add_column(ratio=1, no_wrap=True, overflow="ellipsis")
        for fixed in (room, len(chance), 11 - len(chance) if change else 0):
            table.add_column(width=fixed, no_wrap=True)
        table.add_row(Text(cause.says), bar(low, room, high), chance, change)
        return table
    says = Text(fill(cause.says, width))
    line = Text.assemble(bar(low, max(6, width - 12), high), f" {chance} {change}")
    line.no_wrap = True
    return Group(says, line)


def bar(probability: float, width: int, at_most: float = 0.0) -> Text:
    """A line whose heavy part is the probability; anything possible shows at least one cell.

    Past it, broken cells go on to what it may be at most.
    """
    full, most = (
        min(width, max(round(p * width), 1 if p > 0 else 0))
        for p in (probability, max(probability, at_most))
    )
    return Text.assemble(FULL * full, MAYBE * (most - full), (EMPTY * (width - most), QUIET))


def change_in_words(change: float) -> str:
    """`▲12`, `▼5`, or `=` below half a hundredth."""
    points = round(abs(change) * 100)
    if points == 0:
        return "="
    return f"{'▲' if change > 0 else '▼'}{points}"
