"""The app: two themes, the way to the engine, and the shelf to begin from."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import ClassVar

from textual.app import App
from textual.binding import BindingType

from diag.errors import StoreError
from screens.actions import bindings
from screens.dialogs.error import ErrorDialog
from screens.dialogs.help import Help
from screens.engine import Engine
from screens.engine_screen import EngineScreen
from screens.kept_theme import keep_theme, kept_theme
from screens.shelf import ShelfScreen
from screens.theme import DARK, LIGHT, other


class BenchtrailApp(App[None]):
    """Everything that faces a person at the bench.

    Args:
        store: the file of cases; made when it is not there.
        knowledge: the folder of books.
        open_case: a case to open at once.
        clock: gives the time of events; the clock of this machine if None.
        additions: the user's own folder that is laid over the books.
        cache: a folder in which books are kept as they were read.
    """

    CSS_PATH = "app.tcss"
    TITLE = "benchtrail"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = bindings("everywhere")

    def __init__(
        self,
        store: Path,
        knowledge: Path,
        open_case: str | None = None,
        clock: Callable[[], datetime] | None = None,
        additions: Path | None = None,
        cache: Path | None = None,
    ) -> None:
        super().__init__()
        self.HORIZONTAL_BREAKPOINTS = [(0, "-slim"), (72, "-narrow"), (120, "-wide")]
        self.VERTICAL_BREAKPOINTS = [(0, "-short"), (40, "-tall")]
        self.engine = Engine(store, knowledge, additions, cache, clock)
        self._open_case = open_case

    def on_mount(self) -> None:
        """Put the look on, and show the shelf."""
        for theme in (DARK, LIGHT):
            self.register_theme(theme)
        self.theme = kept_theme(self.engine.store)
        self.push_screen(ShelfScreen(self._open_case))

    def action_theme(self) -> None:
        """Change between dark and light, and keep that for the next start."""
        self.theme = other(self.theme)
        try:
            keep_theme(self.engine.store, self.theme)
        except StoreError as error:
            self.push_screen(ErrorDialog(error))

    def action_help(self) -> None:
        """What the keys of this screen do."""
        if isinstance(self.screen, EngineScreen):
            self.push_screen(Help(self.screen.PLACE))
