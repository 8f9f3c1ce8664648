"""What the bench and the page of a remedy share: reading dangers, reaching layers, mending."""

from __future__ import annotations

from rich.text import Text

from screens.case_screen import CaseScreen
from screens.dialogs.line import LineDialog
from screens.dialogs.page import Reading
from screens.opening import open_layer
from screens.sheets import DONE, Sheet
from screens.widgets.lines import caution_lines, spaced
from screens.widgets.step_card import StepCard

READ_FIRST = "y first: the step and its answers come once the danger is read."


class StepScreen(CaseScreen):
    """A screen with a card of one step."""

    @property
    def card(self) -> StepCard:
        """The card."""
        return self.query_one(StepCard)

    @property
    def sheet(self) -> Sheet | None:
        """The step on the card, if there is one."""
        return self.card.sheet

    def action_read(self) -> None:
        """The danger on the card was read."""
        self.start(self._read)

    def waits(self) -> bool:
        """Whether a danger must be read before an answer counts; the card then says so."""
        unread = bool(self.sheet and self.sheet.unread)
        if unread:
            self.card.complain(READ_FIRST)
        return unread

    def action_access(self) -> None:
        """Open or close what the step on the card needs."""
        self.start(self._access)

    def action_cautions(self) -> None:
        """Read the cautions of the step in full."""
        if self.sheet:
            body = spaced([caution_lines(caution) for caution in self.sheet.cautions])
            self.app.push_screen(Reading("Cautions before this step", body))

    def action_page(self, way: int) -> None:
        """Scroll the card."""
        self.card.page(way)

    async def _read(self) -> None:
        sheet = self.sheet
        if sheet and sheet.unread:
            caution = sheet.unread[0].id
            await self.take(lambda: self.session.acknowledge(caution, sheet.id))

    async def _access(self) -> None:
        if self.sheet:
            await self.reach(self.sheet)

    async def reach(self, sheet: Sheet) -> bool:
        """Have the deck as far open as a step needs it; False if that was left."""
        return not sheet.opens or await self.open_layer(sheet.opens[-1])

    async def open_layer(self, layer: str) -> bool:
        """Open a layer and what lies over it, once the person has seen how."""
        return await open_layer(self, layer)

    async def mend(self, sheet: Sheet, outcome: str) -> bool:
        """Write down what came of a remedy, with a note if there is something to say."""
        if outcome == DONE and not await self.reach(sheet):
            return False
        asked = LineDialog(
            "A note on it?", body=Text("What was found, which part, what size. It may stay empty.")
        )
        note = await self.app.push_screen_wait(asked)
        if note is None:
            return False
        mend = self.session.mend
        if outcome == DONE:
            return await self.take(lambda: mend(sheet.id, "done", note))
        return await self.take(lambda: mend(sheet.id, "given_up", note))
