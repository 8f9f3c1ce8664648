"""A screen whose card takes answers, and which step stands on the card."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from diag.errors import CaseError
from screens.choices import step_id
from screens.heard import take_all
from screens.noted import next_doubted
from screens.numbers import number_of
from screens.recording import hear_recording
from screens.sheets import Kind
from screens.step_screen import StepScreen

if TYPE_CHECKING:
    from diag.model.history import Sure
    from diag.planning.next_step import NextStep
    from diag.session.session import Session
    from diag.session.snapshot import Snapshot


class AnsweringScreen(StepScreen):
    """Takes answers. `chosen` is a step that the person wants instead of the planner's."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.chosen: tuple[Kind, str] | None = None
        self._sure: Sure = "certain"
        self._later: set[str] = set()
        self._read_once: set[str] = set()

    def _show_step(self, snapshot: Snapshot) -> None:
        """Draw the step at hand."""
        raise NotImplementedError

    def choose(self, kind: Kind, step: str) -> None:
        """Put another step on the card."""
        self.chosen = (kind, step)
        self._show_step(self.session.snapshot)

    def action_digit(self, key: str) -> None:
        """Give the numbered answer, or type a digit of a measured value."""
        sheet = self.card.sheet
        if sheet is None or self.waits():
            return
        if sheet.unit is not None:
            self.card.type_key(key)
        elif int(key) <= len(sheet.answers):
            self.start(self._answer, int(key) - 1)

    def action_zero(self) -> None:
        """Can't tell, or the digit of a measured value."""
        if self.waits():
            return
        if self.card.sheet and self.card.sheet.unit is not None:
            self.card.type_key("0")
        else:
            self.action_cant_tell()

    def action_cant_tell(self) -> None:
        """The check can't be answered."""
        self.start(self._put_aside, "cant_tell")

    def action_type(self, key: str) -> None:
        """Take one sign of a measured value."""
        self.card.type_key(key)

    def action_mark(self, way: int) -> None:
        """Move the mark over the answers."""
        self.card.mark(way)

    def action_enter(self) -> None:
        """Take the typed value or the marked answer."""
        sheet = self.card.sheet
        if self.waits():
            return
        if sheet and sheet.unit is not None:
            self.start(self._measure)
        elif self.card.marked is not None:
            self.start(self._answer, self.card.marked)

    def action_sure(self) -> None:
        """Change between certain and fairly sure."""
        self._sure = "fairly" if self._sure == "certain" else "certain"
        self.card.set_sure(self._sure)

    def action_recording(self) -> None:
        """Answer the check by a recording."""
        self.start(self._measure_recording)

    def action_skip(self) -> None:
        """Leave the step for later."""
        self.start(self._put_aside, "skipped")

    def action_again(self) -> None:
        """Ask again what sits worst with the rest; from there, what sits next worst."""
        at_hand = self.chosen[1] if self.chosen else ""
        if check := next_doubted(self.session.snapshot, at_hand):
            self.choose("check", check)

    def _at_hand(self, snapshot: Snapshot) -> tuple[Kind, str, NextStep | None] | None:
        """What was chosen, else the best step that was not left for later."""
        steps = snapshot.assessment.steps if snapshot.assessment else ()
        if self.chosen is not None:
            found = next((s for s in steps if (s.kind, s.id) == self.chosen), None)
            return (*self.chosen, found)
        for step in steps:
            if step_id(step.kind, step.id) not in self._later:
                return step.kind, step.id, step
        return None

    async def _go_on(self, call: Callable[[], Snapshot]) -> None:
        """Take an answer; then what was read before it is known, and the planner leads again."""
        sheet, before = self.card.sheet, self.chosen
        self.chosen = None
        if sheet is not None and self.card.cautions_seen:
            self._read_once |= {caution.id for caution in sheet.cautions}
        if not await self.take(call):
            self.chosen = before

    async def _answer(self, number: int) -> None:
        sheet, sure = self.card.sheet, self._sure
        if sheet is None:
            return
        answer = sheet.answers[number][0]
        if sheet.kind == "remedy":
            chosen, self.chosen = self.chosen, None
            if not await self.mend(sheet, answer):
                self.chosen = chosen
        elif await self.reach(sheet):
            await self._go_on(lambda: self.session.answer(sheet.id, answer, sure))

    async def _measure(self) -> None:
        sheet, sure = self.card.sheet, self._sure
        if sheet is None:
            return
        try:
            value = number_of(self.card.typed)
        except CaseError as error:
            self.card.complain(f"{error.found} {error.do}")
            return
        if await self.reach(sheet):
            await self._go_on(lambda: self.session.measure(sheet.id, value, sure))

    async def _measure_recording(self) -> None:
        sheet = self.card.sheet
        # A recording is made with the covers on, so that nothing has to be opened for it.
        if sheet is None or (sheet.closes and not await self.reach(sheet)):
            return
        taken = await hear_recording(self, self.session, sheet.recording, sheet.id)
        if taken is not None:
            await self._go_on(lambda: take_all(self.session, *taken))

    async def _put_aside(self, why: str) -> None:
        sheet = self.card.sheet
        if sheet is None:
            return
        if sheet.kind == "remedy":
            self._later.add(step_id(sheet.kind, sheet.id))
            self.chosen = None
            self._show_step(self.session.snapshot)
        elif why == "cant_tell":
            await self._go_on(lambda: self.session.put_aside(sheet.id, "cant_tell"))
        else:
            await self._go_on(lambda: self.session.put_aside(sheet.id, "skipped"))
