"""A curve before and after, drawn to the room that it has."""

from __future__ import annotations

from rich.text import Text
from textual.widget import Widget

from diag.trail.before_after import CurvePair
from diag.trail.braille import drawn


class Plot(Widget):
    """Draws a pair of curves; nothing while there is none."""

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self._pair: CurvePair | None = None

    def show(self, pair: CurvePair | None) -> None:
        """Draw another pair."""
        self._pair = pair
        self.refresh()

    def render(self) -> Text:
        """The curve in as many signs and lines as there are."""
        if self._pair is None:
            return Text()
        lines = drawn(self._pair, self.size.width, self.size.height)
        return Text("\n".join(lines), no_wrap=True)
