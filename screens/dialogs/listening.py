"""Waits for a measurement: how far it has come, and Esc stops it."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from rich.text import Text
from textual import work
from textual.app import ComposeResult
from textual.widgets import Static

from diag.errors import BenchtrailError
from diag.session.listening import HeardAll, Stopped, Watch
from screens.dialogs.page import Page

TICK_S = 0.1
BAR = 40
"""Signs of the bar."""
NEARLY = 0.95
"""The share from which a pass has read all that counts; what it read is worked out next."""


class Listening(Page[HeardAll | BenchtrailError | None]):
    """Gives what was found, the error that came, or None when the person stops it.

    Args:
        file: the name of the sound file.
        measure: measures it; called in a thread.
    """

    def __init__(self, file: str, measure: Callable[[Watch], HeardAll]) -> None:
        super().__init__(f"Measuring {file}", keys="Esc stops it")
        self._measure = measure
        self._share, self._pass = 0.0, 1
        self._stopped = False

    def window(self) -> ComposeResult:
        """How far it has come."""
        yield Static(id="progress")

    def on_mount(self) -> None:
        """Begin."""
        self._draw()
        self.set_interval(TICK_S, self._draw)
        self._listen()

    async def action_dismiss(self, result: object = None) -> None:
        """Stop; the measurement ends at its next block."""
        self._stopped = True
        self.dismiss(None)

    @work
    async def _listen(self) -> None:
        watch = Watch(self._told, lambda: self._stopped)
        found: HeardAll | BenchtrailError | None
        try:
            found = await asyncio.to_thread(self._measure, watch)
        except Stopped:
            found = None
        except BenchtrailError as error:
            found = error
        if not self._stopped:
            self.dismiss(found)

    def _told(self, share: float) -> None:
        if share < self._share:
            self._pass += 1
        self._share = share

    def _draw(self) -> None:
        full = round(self._share * BAR)
        bar = f"{'█' * full}{'░' * (BAR - full)} {self._share:4.0%}"
        again = f"   pass {self._pass}" if self._pass > 1 else ""
        if self._share > NEARLY:
            again += ", working it out"
        self.query_one("#progress", Static).update(Text(bar + again))
