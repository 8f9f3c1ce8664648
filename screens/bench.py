"""The bench: the step at hand, the ranked causes, and everything that can be done to a case."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from rich.console import Group
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Static

from diag.errors import CaseError
from diag.trail.words import event_words
from screens.actions import bindings
from screens.bench_offers import offered
from screens.bench_side import (
    case_line,
    in_here_lines,
    layer_lines,
    other_steps,
    remarks_in_full,
    remarks_in_short,
)
from screens.book import BookScreen
from screens.cause import CauseScreen
from screens.choices import (
    in_here_items,
    layer_items,
    remedy_items,
    step_id,
    step_items,
    step_of,
)
from screens.closing import ask_closing
from screens.dialogs.choose import Choose
from screens.dialogs.line import LineDialog
from screens.dialogs.page import Reading
from screens.ending import ending
from screens.export import export_trail
from screens.heard import take_all
from screens.measure import MeasureScreen
from screens.noted import next_doubted, remarks
from screens.numbers import number_of
from screens.recording import hear_recording
from screens.remedy import RemedyScreen
from screens.sheets import Kind, Sheet, sheet_of
from screens.step_screen import StepScreen
from screens.trail import TrailScreen
from screens.tree import show_tree
from screens.ways_out import WaysOut
from screens.widgets.cause_list import CauseList
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import heading
from screens.widgets.step_card import StepCard
from screens.workshop import WorkshopScreen

if TYPE_CHECKING:
    from diag.model.history import Sure
    from diag.planning.next_step import NextStep
    from diag.session.session import Session
    from diag.session.snapshot import Snapshot


class BenchScreen(WaysOut, StepScreen):
    """One case. `chosen` is a step that the person wants instead of the planner's."""

    CSS_PATH = "bench.tcss"
    PLACE = "bench"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = ""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.chosen: tuple[Kind, str] | None = None
        self._sure: Sure = "certain"
        self._later: set[str] = set()
        self._read_once: set[str] = set()
        self._drawn = 0

    def compose(self) -> ComposeResult:
        """Case line, card, causes, and a third column where there is room for it."""
        yield Static(id="case")
        with Horizontal():
            yield StepCard(id="card")
            with Vertical(id="side"):
                yield Static(id="ranked")
                yield CauseList(id="causes")
                yield Static(id="in-here")
            with VerticalScroll(id="third", can_focus=False):
                yield Static(id="others")
                yield Static(id="noted-full")
                yield Static(id="layers")
        yield Static(id="noted")
        yield KeyBar(self.PLACE, self.offers)

    def on_screen_resume(self) -> None:
        """Another screen may have gone on with the case."""
        if self._drawn != self.session.snapshot.revision:
            self.show(self.session.snapshot)

    def show(self, snapshot: Snapshot) -> None:
        """Draw a case; an older state than the one drawn is let go."""
        if snapshot.revision < self._drawn:
            return
        self._drawn = snapshot.revision
        self._sure = "certain"
        found = remarks(snapshot)
        self.query_one("#case", Static).update(case_line(snapshot))
        ranking = snapshot.assessment.ranking if snapshot.assessment else ()
        self.query_one(CauseList).show(ranking)
        bounded = any(cause.bounds for cause in ranking)
        ranked = "Most probable, bounded" if bounded else "Most probable"
        self.query_one("#ranked", Static).update(heading(ranked))
        noted = self.query_one("#noted", Static)
        noted.update(remarks_in_short(found) if found else "")
        noted.set_class(not found, "-empty")
        full = Group(heading("Noted by the rules (v)"), remarks_in_full(found))
        self.query_one("#noted-full", Static).update(full)
        self.query_one("#layers", Static).update(layer_lines(snapshot))
        self._show_step(snapshot)

    def offers(self, action: str) -> bool:
        """Answers only to a question, reading only of a danger, and so on."""
        return offered(self.session.snapshot, self.card.sheet, action)

    def choose(self, kind: Kind, step: str) -> None:
        """Put another step on the card."""
        self.chosen = (kind, step)
        self._show_step(self.session.snapshot)

    def action_digit(self, key: str) -> None:
        """Give the numbered answer, or type a digit of a measured value."""
        sheet = self.card.sheet
        if sheet is None:
            return
        if sheet.unit is not None:
            self.card.type_key(key)
        elif int(key) <= len(sheet.answers):
            self.start(self._answer, int(key) - 1)

    def action_zero(self) -> None:
        """Can't tell, or the digit of a measured value."""
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

    def action_figures(self) -> None:
        """Figures and curves of recordings."""
        self.app.push_screen(MeasureScreen(self.session))

    def action_skip(self) -> None:
        """Leave the step for later."""
        self.start(self._put_aside, "skipped")

    def action_again(self) -> None:
        """Ask again what sits worst with the rest; from there, what sits next worst."""
        at_hand = self.chosen[1] if self.chosen else ""
        if check := next_doubted(self.session.snapshot, at_hand):
            self.choose("check", check)

    def action_causes(self) -> None:
        """Go into the list of causes, or back out."""
        causes = self.query_one(CauseList)
        self.set_focus(None if causes.has_focus else causes)

    def action_others(self) -> None:
        """Choose another step."""
        self.start(self._choose_step)

    def action_in_here(self) -> None:
        """Choose a step that is worth doing while the deck is open."""
        self.start(self._choose_in_here)

    def action_remedies(self) -> None:
        """Choose a remedy."""
        self.start(self._choose_remedy)

    def action_undo(self) -> None:
        """Take the last event back."""
        self.start(self._step_back, "Taken back")

    def action_redo(self) -> None:
        """Bring back what was taken back last."""
        self.start(self._step_back, "Brought back")

    def action_note(self) -> None:
        """Write something down."""
        self.start(self._note)

    def action_layers(self) -> None:
        """See, open and close layers."""
        self.start(self._layers)

    def action_noted(self) -> None:
        """Read in full what was noted."""
        body = remarks_in_full(remarks(self.session.snapshot))
        self.app.push_screen(Reading("Noted by the rules", body))

    def action_trail(self) -> None:
        """Every step of the case."""
        self.app.push_screen(TrailScreen(self.session))

    def action_export(self) -> None:
        """Write the trail to a file."""
        self.start(export_trail, self, self.session)

    def action_tree(self) -> None:
        """A decision tree of the complaint."""
        self.start(show_tree, self, self.session)

    def action_book(self) -> None:
        """Read what the book knows."""
        self.app.push_screen(BookScreen(self.session.pages))

    def action_workshop(self) -> None:
        """Work a bench sum."""
        self.app.push_screen(WorkshopScreen(self.session))

    def action_amend(self) -> None:
        """Say anew what the deck is."""
        from screens.intake import IntakeScreen

        self.app.push_screen(IntakeScreen(self.session))

    def action_back(self) -> None:
        """Out of the list, away from a chosen step, or back to the shelf."""
        if self.query_one(CauseList).has_focus:
            self.set_focus(None)
        elif self.chosen is not None:
            self.chosen = None
            self._show_step(self.session.snapshot)
        else:
            self.dismiss()

    @on(CauseList.Opened)
    def open_cause(self, event: CauseList.Opened) -> None:
        """Show why a cause stands where it does."""
        self.app.push_screen(CauseScreen(self.session, event.cause))

    async def reach(self, sheet: Sheet) -> bool:
        """Have the deck as far open, or as well closed, as a step needs; False if that was left."""
        if sheet.closes:
            return await self._close_layer(self.session.book.outside)
        return await super().reach(sheet)

    async def _close_layer(self, layer: str) -> bool:
        """Close a layer and what lies under it, once the person has seen what comes first."""
        told = await ask_closing(self, layer)
        if isinstance(told, tuple):
            self.choose(*told)
            return False
        return told and await self.take(lambda: self.session.close(layer))

    def _show_step(self, snapshot: Snapshot) -> None:
        at_hand = self._at_hand(snapshot)
        if at_hand is None:
            title, parts = ending(snapshot)
            self.card.say(title, *parts)
        else:
            kind, step, found = at_hand
            sheet = sheet_of(self.session, kind, step, found)
            self.card.show(sheet, self._sure, known=self._read_once)
        others = other_steps(snapshot, at_hand[1] if at_hand else "")
        self.query_one("#others", Static).update(others)
        here = in_here_lines(snapshot, at_hand[1] if at_hand else "")
        self.query_one("#in-here", Static).update(here or "")
        self.query_one("#in-here").set_class(here is None, "-empty")
        self.refresh_keys()

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

    async def _choose_step(self) -> None:
        items = step_items(self.session.snapshot)
        if chosen := await self.app.push_screen_wait(Choose("What to do instead", items)):
            self.choose(*step_of(chosen[0]))

    async def _choose_in_here(self) -> None:
        at_hand = self.card.sheet.id if self.card.sheet else ""
        items = in_here_items(self.session.snapshot, at_hand)
        if chosen := await self.app.push_screen_wait(Choose("While you are in here", items)):
            self.choose(*step_of(chosen[0]))

    async def _choose_remedy(self) -> None:
        items = remedy_items(self.session.snapshot)
        if chosen := await self.app.push_screen_wait(Choose("What to mend", items)):
            self.app.push_screen(RemedyScreen(self.session, step_of(chosen[0])[1]))

    async def _step_back(self, told: str) -> None:
        state, back = self.session.snapshot.state, told == "Taken back"
        number = state.to_undo if back else state.to_redo
        if number is not None and await self.take(self.session.undo if back else self.session.redo):
            events = self.session.events
            words = event_words(self.session.book, events, number if back else len(events))
            self.app.notify(f"{told}: {words}" if back else words, markup=False, timeout=3)

    async def _note(self) -> None:
        text = await self.app.push_screen_wait(LineDialog("A note"))
        if text:
            await self.take(lambda: self.session.note(text))

    async def _layers(self) -> None:
        items = layer_items(self.session.snapshot)
        chosen = await self.app.push_screen_wait(Choose("Layers of the deck", items))
        if not chosen:
            return
        if chosen[0] in self.session.snapshot.state.open_layers:
            await self._close_layer(chosen[0])
        else:
            await self.open_layer(chosen[0])
