"""One line or a few words to write."""

from __future__ import annotations

from rich.console import RenderableType
from textual import on
from textual.app import ComposeResult
from textual.widgets import Input, Static

from screens.dialogs.page import Page


class LineDialog(Page[str | None]):
    """Asks for a line of text; gives it, or None when the person goes back.

    Args:
        title: what is asked for.
        value: what stands there already.
        body: a few words of help.
        replace: the first key replaces what stands there.
    """

    def __init__(
        self, title: str, value: str = "", body: RenderableType = "", *, replace: bool = False
    ) -> None:
        super().__init__(title, body, "Enter takes it, Esc goes back")
        self._value = value
        self._replace = replace

    def window(self) -> ComposeResult:
        """A few words of help, and the line."""
        if self._body:
            yield Static(self._body)
        yield Input(self._value, select_on_focus=self._replace)

    def on_mount(self) -> None:
        """Show the end of what stands there: that is what gets changed in a long path."""
        if not self._replace:
            self.call_after_refresh(self._show_end)

    def _show_end(self) -> None:
        line = self.query_one(Input)
        line.action_home()  # it scrolls only when the cursor moves
        line.action_end()

    @on(Input.Submitted)
    def take(self, event: Input.Submitted) -> None:
        """Give what was written."""
        self.dismiss(event.value.strip())
