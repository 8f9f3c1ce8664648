"""What strip-down and reassembly share: two ways to look at a deck that is open."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from textual.containers import VerticalScroll

from screens.case_screen import CaseScreen
from screens.choices import in_here_items
from screens.closing import ask_closing
from screens.loose_side import choose_in_here
from screens.sheets import Kind

if TYPE_CHECKING:
    from diag.session.session import Session

GoTo = Callable[[Kind, str], None]
"""Puts a step on the card of the bench."""


class ApartScreen(CaseScreen):
    """A deck with layers open, told in `#told`.

    Args:
        session: the case.
        go_to: puts a step on the bench; this screen is left then.
    """

    def __init__(self, session: Session, go_to: GoTo) -> None:
        super().__init__(session)
        self._go_to = go_to

    def offers(self, action: str) -> bool:
        """What there is to take back, bring back, and to do in here."""
        state = self.session.snapshot.state
        match action:
            case "in_here":
                return bool(in_here_items(self.session.snapshot, ""))
            case "undo":
                return state.to_undo is not None
            case "redo":
                return state.to_redo is not None
        return True

    def action_in_here(self) -> None:
        """Choose a step that is worth doing while the deck is open."""
        self.start(self._choose_in_here)

    def action_undo(self) -> None:
        """Take the last event back."""
        self.start(self.take, self.session.undo)

    def action_redo(self) -> None:
        """Bring back what was taken back last."""
        self.start(self.take, self.session.redo)

    def action_page(self, way: int) -> None:
        """Scroll what is told."""
        told = self.query_one("#told", VerticalScroll)
        told.scroll_relative(y=way * max(1, told.size.height - 2), animate=False)

    def action_back(self) -> None:
        """Back to where this was opened."""
        self.dismiss()

    async def close_layer(self, layer: str) -> None:
        """Close a layer once it was told what is due before, or leave for a step that is."""
        told = await ask_closing(self, layer)
        if isinstance(told, tuple):
            self.leave_for(*told)
        elif told:
            await self.take(lambda: self.session.close(layer))

    def leave_for(self, kind: Kind, step: str) -> None:
        """Go to a step on the bench."""
        self.dismiss()
        self._go_to(kind, step)

    async def _choose_in_here(self) -> None:
        if step := await choose_in_here(self):
            self.leave_for(*step)
