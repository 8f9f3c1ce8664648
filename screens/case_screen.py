"""A screen of one case: what it asks the engine, it draws."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from diag.errors import CaseError
from screens.engine_screen import EngineScreen

if TYPE_CHECKING:
    from diag.session.session import Session
    from diag.session.snapshot import Snapshot


class CaseScreen(EngineScreen):
    """Draws a case.

    Args:
        session: the case.
    """

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session

    def show(self, snapshot: Snapshot) -> None:
        """Draw the case as it stands."""
        raise NotImplementedError

    async def take(self, call: Callable[[], Snapshot]) -> bool:
        """Let the case go on, and draw what came of it; False if it did not."""
        self.failed = None
        snapshot = await self.ask(call)
        if snapshot is None and isinstance(self.failed, CaseError):
            # Another window may have gone on with the case: show what is on disk.
            snapshot = await self.ask(self.session.reload)
        if snapshot is not None:
            self.show(snapshot)
        return self.failed is None
