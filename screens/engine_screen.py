"""What the screens share: one piece of work at a time, off the drawing thread, errors told."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar, cast

from textual import work
from textual.screen import Screen

from diag.errors import BenchtrailError
from screens.actions import ACTIONS
from screens.dialogs.error import ErrorDialog
from screens.widgets.key_bar import KeyBar

if TYPE_CHECKING:
    from screens.app import BenchtrailApp
    from screens.engine import Engine

Found = TypeVar("Found")

KEPT_WHILE_BUSY = {"back", "leave", "help", "theme", "page"}
"""Actions that change nothing in a case."""


class EngineScreen(Screen[None]):
    """A screen that asks the engine.

    While one call runs, keys that would change something do nothing: a key pressed too early must
    not answer a question that nobody has seen yet.
    """

    PLACE = ""
    """Which part of the registry of actions belongs to the screen."""

    busy = False
    failed: BenchtrailError | None = None
    """The last error that was told."""

    @property
    def engine(self) -> Engine:
        """The engine of the app."""
        return cast("BenchtrailApp", self.app).engine

    def start(self, task: Callable[..., Coroutine[Any, Any, object]], *given: Any) -> None:
        """Begin one piece of work, unless another is not done yet."""
        if self.busy:
            return
        self.busy = True
        self._finish(partial(task, *given))

    async def ask(self, call: Callable[[], Found]) -> Found | None:
        """What the engine answers; None if it failed, which the person has been told then."""
        try:
            return await asyncio.to_thread(call)
        except BenchtrailError as error:
            self.failed = error
            await self.app.push_screen_wait(ErrorDialog(error))
            return None

    def offers(self, action: str) -> bool:
        """Whether an action makes sense now; a key that doesn't is neither shown nor obeyed."""
        return True

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Obey only what is offered, and nothing that changes the case while work is going on."""
        known = {each.partition("(")[0] for each in self._own_actions()}
        if action not in known:
            return True
        return (not self.busy or action in KEPT_WHILE_BUSY) and self.offers(action)

    def refresh_keys(self) -> None:
        """Draw the line of keys anew."""
        for bar in self.query(KeyBar):
            bar.draw_keys()

    def _own_actions(self) -> tuple[str, ...]:
        return tuple(action.name for action in ACTIONS[self.PLACE])

    @work()
    async def _finish(self, task: Callable[[], Coroutine[Any, Any, object]]) -> None:
        try:
            await task()
        finally:
            self.busy = False
            if self.is_attached:
                self.refresh_keys()
