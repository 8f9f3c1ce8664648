"""The page of one remedy: how, parts, tools, cautions, and what came of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from rich.console import Group, RenderableType
from rich.text import Text
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Static

from diag.model.words import chance_in_words
from screens.actions import bindings
from screens.bench_side import case_line
from screens.sheets import sheet_of
from screens.step_screen import StepScreen
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import QUIET, heading, keyed, spaced
from screens.widgets.step_card import StepCard
from screens.widgets.thumbs import thumb_lines

if TYPE_CHECKING:
    from diag.session.session import Session
    from diag.session.snapshot import Snapshot


class RemedyScreen(StepScreen):
    """One remedy.

    Args:
        session: the case.
        remedy: an id of the book.
    """

    CSS_PATH = "remedy.tcss"
    PLACE = "remedy"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = ""

    def __init__(self, session: Session, remedy: str) -> None:
        super().__init__(session)
        self._remedy = remedy

    def compose(self) -> ComposeResult:
        """Case line, card, and what the remedy is good for."""
        yield Static(id="case")
        with Horizontal():
            yield StepCard(id="card")
            with VerticalScroll(id="side", can_focus=False):
                yield Static(id="good-for")
        yield KeyBar(self.PLACE, self.offers, lines=1)

    def on_mount(self) -> None:
        """Show the remedy."""
        self.show(self.session.snapshot)

    def show(self, snapshot: Snapshot) -> None:
        """Draw the remedy as the case stands."""
        self.query_one("#case", Static).update(case_line(snapshot))
        self.card.show(sheet_of(self.session, "remedy", self._remedy, None), "certain")
        self.query_one("#good-for", Static).update(self._good_for(snapshot))
        self.refresh_keys()

    def offers(self, action: str) -> bool:
        """Nothing that hangs on the work before every danger was read."""
        sheet = self.card.sheet
        unread = bool(sheet and sheet.unread)
        match action:
            case "read":
                return unread
            case "cautions":
                return not unread and bool(sheet and sheet.cautions)
            case "access":
                return not unread and bool(sheet and sheet.opens)
        return True

    def action_digit(self, key: str) -> None:
        """What came of it."""
        if not self.waits():
            self.start(self._outcome, int(key) - 1)

    def action_back(self) -> None:
        """Back, with nothing written."""
        self.dismiss()

    async def _outcome(self, number: int) -> None:
        sheet = self.card.sheet
        if sheet and await self.mend(sheet, sheet.answers[number][0]):
            self.dismiss()

    def _good_for(self, snapshot: Snapshot) -> RenderableType:
        book = snapshot.book
        ranking = snapshot.assessment.ranking if snapshot.assessment else ()
        mends = set(book.mends[self._remedy])
        rows = [
            (chance_in_words(cause.probability), Text(cause.says))
            for cause in ranking
            if cause.id in mends
        ]
        thumbs = [book.thumbs[name] for name in book.remedies[self._remedy].cites]
        parts: list[RenderableType] = [
            Group(heading("Goes for"), keyed(rows) if rows else Text("nothing here", QUIET))
        ]
        if thumbs:
            told = [(thumb, book.sources[thumb.source]) for thumb in thumbs]
            parts.append(Group(heading("Rules of thumb"), thumb_lines(told)))
        return spaced(parts)
