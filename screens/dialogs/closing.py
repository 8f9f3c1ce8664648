"""Before a layer is closed: what to look at first, and the key that closes it all the same."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.console import RenderableType
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from screens.actions import DIGITS
from screens.dialogs.choose import Choose, Item

CLOSE = "close"


class Closing(Choose):
    """Gives the id of the step to go to, `CLOSE` if the layer is closed, or None to leave it.

    Args:
        title: what is to be closed.
        items: steps that come first, the most needed on top; as many as there are digits.
        body: what else to look at.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y", f"dismiss(('{CLOSE}',))", show=False, priority=True),
        Binding("n,0", "dismiss(None)", show=False, priority=True),
        Binding("pageup", "scroll(-1)", show=False, priority=True),
        Binding("pagedown", "scroll(1)", show=False, priority=True),
    ]

    def __init__(self, title: str, items: Sequence[Item], body: RenderableType) -> None:
        super().__init__(title, items[: len(DIGITS)])
        self._body = body
        self._keys = "Digit or Enter: go there   y: seen, and it is closed   n or Esc: not now"

    def window(self) -> ComposeResult:
        """The steps, and below them the text, which scrolls."""
        yield self.listed
        with VerticalScroll(id="body", can_focus=False):
            yield Static(self._body)
