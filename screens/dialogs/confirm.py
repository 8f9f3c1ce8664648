"""Yes or no."""

from __future__ import annotations

from typing import ClassVar

from rich.console import RenderableType
from textual.binding import Binding, BindingType

from screens.dialogs.page import Page


class Confirm(Page[bool]):
    """Asks whether to go on; gives True or False.

    No digit says yes: the one that gave an answer may bounce under a gloved finger.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y,enter", "dismiss(True)", show=False),
        Binding("n,0,escape", "dismiss(False)", show=False),
    ]

    def __init__(self, title: str, body: RenderableType, yes: str = "yes", no: str = "no") -> None:
        super().__init__(title, body, f"y or Enter: {yes}     n or Esc: {no}")
