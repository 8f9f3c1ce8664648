"""Yes or no."""

from __future__ import annotations

from typing import ClassVar

from rich.console import RenderableType
from textual.binding import Binding, BindingType

from screens.dialogs.page import Page


class Confirm(Page[bool]):
    """Asks whether to go on; gives True or False."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y,1,enter", "dismiss(True)", show=False),
        Binding("n,0,escape", "dismiss(False)", show=False),
    ]

    def __init__(self, title: str, body: RenderableType, yes: str = "yes", no: str = "no") -> None:
        super().__init__(title, body, f"1, y or Enter: {yes}     0, n or Esc: {no}")
