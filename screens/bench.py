"""The bench: the step at hand, the ranked causes, and everything that can be done to a case."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from rich.console import Group
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Static

from diag.cases.events import Answered, Measured
from diag.trail.words import event_words
from screens.actions import bindings
from screens.answering import AnsweringScreen
from screens.bench_offers import offered
from screens.bench_side import (
    case_line,
    in_here_lines,
    layer_lines,
    other_steps,
    remarks_in_full,
    remarks_in_short,
)
from screens.cause import CauseScreen
from screens.choices import (
    in_here_items,
    layer_items,
    remedy_items,
    step_items,
    step_of,
)
from screens.closing import ask_closing
from screens.dialogs.choose import Choose
from screens.dialogs.line import LineDialog
from screens.dialogs.page import Reading
from screens.ending import ending
from screens.noted import remarks
from screens.remedy import RemedyScreen
from screens.sheets import Sheet, sheet_of
from screens.ways_out import WaysOut
from screens.widgets.cause_list import CauseList
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import heading
from screens.widgets.step_card import StepCard

if TYPE_CHECKING:
    from diag.cases.events import Event
    from diag.session.session import Session
    from diag.session.snapshot import Snapshot


class BenchScreen(AnsweringScreen, WaysOut):
    """One case."""

    CSS_PATH = "bench.tcss"
    PLACE = "bench"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = ""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
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
            if back:
                self._ask_anew(events[number - 1])
            self.app.notify(f"{told}: {words}" if back else words, markup=False, timeout=3)

    def _ask_anew(self, taken_back: Event) -> None:
        """Put a check on the card again whose answer was taken back, if another step leads."""
        if not isinstance(taken_back, Answered | Measured):
            return
        at_hand = self._at_hand(self.session.snapshot)
        if at_hand is None or at_hand[1] != taken_back.check:
            self.choose("check", taken_back.check)

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
