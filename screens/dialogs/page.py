"""A window with a title, a text to scroll and a line that says which keys there are."""

from __future__ import annotations

from typing import ClassVar, TypeVar

from rich.console import RenderableType
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

Answer = TypeVar("Answer")
PAGE_DOWN = "PgDn"


class Page(ModalScreen[Answer]):
    """What all windows look like; `window` fills the middle."""

    CSS_PATH = "dialogs.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", show=False),
        Binding("pageup,up", "scroll(-1)", show=False),
        Binding("pagedown,down,space", "scroll(1)", show=False),
    ]

    def __init__(self, title: str, body: RenderableType = "", keys: str = "Esc back") -> None:
        super().__init__()
        self._title = title
        self._body = body
        self._keys = keys

    def compose(self) -> ComposeResult:
        """Title, middle, keys."""
        with Vertical(id="window"):
            yield Static(Content(self._title), id="title")
            yield from self.window()
            yield Static(Content(self._keys), id="keys")

    def on_mount(self) -> None:
        """Say so when the text is longer than the window."""
        for body in self.query(VerticalScroll):
            self.watch(body, "show_vertical_scrollbar", self._tell_more)

    def _tell_more(self, is_more: bool) -> None:
        more = f"   {PAGE_DOWN}: more" if is_more and PAGE_DOWN not in self._keys else ""
        self.query_one("#keys", Static).update(Content(self._keys + more))

    def window(self) -> ComposeResult:
        """The middle: the text, which scrolls when it is long."""
        with VerticalScroll(id="body", can_focus=False):
            yield Static(self._body)

    def action_scroll(self, way: int) -> None:
        """Scroll the text by most of its height."""
        for body in self.query(VerticalScroll):
            body.scroll_relative(y=way * max(1, body.size.height - 2), animate=False)


class Reading(Page[None]):
    """Something to read; any of the usual keys closes it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,y,question_mark,v,k", "dismiss(None)", show=False)
    ]

    def __init__(self, title: str, body: RenderableType) -> None:
        super().__init__(title, body, "Enter or Esc closes, PgUp and PgDn scroll")
