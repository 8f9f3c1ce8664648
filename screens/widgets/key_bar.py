"""The line of keys at the foot of a screen."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from textual.content import Content
from textual.events import Resize
from textual.widgets import Static

from screens.actions import ACTIONS, Action

_ALWAYS = ACTIONS["everywhere"][0]
"""The key that shows all keys stands last on every line, after the way back."""
_WAY_BACK = "back"
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
        self.update(Content("\n").join(_line(line) for line in fit(offered, width, self._lines)))


def fit(actions: Sequence[Action], width: int, lines: int) -> list[list[Action]]:
    """Spread actions over lines; what doesn't fit is left to the help page.

    The way back and the help always stand last, on a line of their own if there is one.
    """
    kept = [*(action for action in actions if action.name == _WAY_BACK), _ALWAYS]
    rows: list[list[Action]] = [[]]
    for action in actions:
        if action in kept:
            continue
        last = len(rows) == lines
        if _width([*rows[-1], action, *(kept if last else ())]) <= width:
            rows[-1].append(action)
        elif not last:
            rows.append([action])
    if len(rows) < lines and _width([*rows[-1], *kept]) > width:
        rows.append([])
    rows[-1].extend(kept)
    return rows


def _width(line: Sequence[Action]) -> int:
    return sum(len(each.shown) + 1 + len(each.label) + _GAP for each in line) - _GAP


def _line(actions: Sequence[Action]) -> Content:
    keys = (Content.assemble((a.shown, "bold $accent"), " ", a.label) for a in actions)
    return Content(" " * _GAP).join(keys)
