"""The line of keys at the foot of a screen."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from textual.content import Content
from textual.events import Resize
from textual.widgets import Static

from screens.actions import ACTIONS, Action

_ALWAYS = ACTIONS["everywhere"][0]
"""The key that shows all keys stands last on every line."""
_GAP = 2


class KeyBar(Static):
    """As many keys as fit into its lines, the most needed first.

    Args:
        place: the part of the registry that is shown.
        offers: which of its actions make sense now.
        lines: how many lines it may take.
    """

    DEFAULT_CSS = """
    KeyBar { dock: bottom; height: auto; padding: 0 1; background: $panel; color: $foreground; }
    """

    def __init__(self, place: str, offers: Callable[[str], bool], lines: int = 2) -> None:
        super().__init__()
        self._place = place
        self._offers = offers
        self._lines = lines

    def on_resize(self, event: Resize) -> None:
        """Fill the new width."""
        self.draw_keys()

    def draw_keys(self) -> None:
        """Show what is offered now."""
        offered = [
            action
            for action in ACTIONS[self._place]
            if action.bar and self._offers(action.name.partition("(")[0])
        ]
        width = max(20, self.size.width)
        self.update(Content("\n").join(_line(line) for line in _fit(offered, width, self._lines)))


def _fit(actions: Sequence[Action], width: int, lines: int) -> list[list[Action]]:
    """Spread actions over lines; what doesn't fit is left to the help page."""
    rows: list[list[Action]] = [[]]
    for action in actions:
        last = len(rows) == lines
        room = width - (_length(_ALWAYS) + _GAP if last else 0)
        if sum(_length(each) + _GAP for each in rows[-1]) + _length(action) <= room:
            rows[-1].append(action)
        elif not last:
            rows.append([action])
    rows[-1].append(_ALWAYS)
    return rows


def _length(action: Action) -> int:
    return len(action.shown) + 1 + len(action.label)


def _line(actions: Sequence[Action]) -> Content:
    keys = (Content.assemble((a.shown, "bold $accent"), " ", a.label) for a in actions)
    return Content(" " * _GAP).join(keys)
