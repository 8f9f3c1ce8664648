"""Lines in millimetres, drawn to scale with the dots of braille signs."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from rich.text import Text
from textual.widget import Widget

from diag.trail.braille import BLANK, DOTS

Line = Sequence[tuple[float, float]]


class Outline(Widget):
    """Draws lines as large as there is room; a sign has as many dots across as half of its height.

    That makes a ring round on a terminal whose signs are twice as high as wide.
    """

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self._lines: Sequence[Line] = ()

    def show(self, lines: Sequence[Line]) -> None:
        """Draw other lines."""
        self._lines = lines
        self.refresh()

    def render(self) -> Text:
        """The lines in the room that there is."""
        return Text("\n".join(drawn(self._lines, self.size.width, self.size.height)), no_wrap=True)


def drawn(lines: Sequence[Line], width: int, height: int) -> tuple[str, ...]:
    """Lines in at most `width` signs and `height` rows, all of them to one scale."""
    points = [point for line in lines for point in line]
    if not points or width < 2 or height < 1:
        return ()
    left, top = min(x for x, _ in points), max(y for _, y in points)
    across, up = max(x for x, _ in points) - left, top - min(y for _, y in points)
    scale = min((2 * width - 1) / max(across, 1e-9), (4 * height - 1) / max(up, 1e-9))
    signs = [[BLANK] * width for _ in range(height)]
    for line in lines:
        for (x, y), (to_x, to_y) in pairwise(line):
            steps = max(1, round(max(abs(to_x - x), abs(to_y - y)) * scale))
            for step in range(steps + 1):
                column = round((x + (to_x - x) * step / steps - left) * scale)
                row = round((top - y - (to_y - y) * step / steps) * scale)
                signs[row // 4][column // 2] |= DOTS[row % 4][column % 2]
    return tuple("".join(map(chr, row)) for row in signs)
