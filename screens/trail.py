"""The trail: every event of a case, struck ones too."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from diag.cases.events import Event, Struck
from diag.trail.words import event_words
from screens.actions import bindings
from screens.bench_side import case_line
from screens.case_screen import CaseScreen
from screens.export import export_trail
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import LABEL, QUIET

if TYPE_CHECKING:
    from diag.session.session import Session
    from diag.session.snapshot import Snapshot


class TrailScreen(CaseScreen):
    """Every event; the marked one can be struck or brought back."""

    CSS_PATH = "trail.tcss"
    PLACE = "trail"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = "#events"

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._live: set[int] = set()

    def compose(self) -> ComposeResult:
        """Case line, events, the marked one in full."""
        yield Static(id="case")
        yield OptionList(id="events")
        yield Static(id="whole")
        yield KeyBar(self.PLACE, self.offers, lines=1)

    def on_mount(self) -> None:
        """Show the trail from its end."""
        self.show(self.session.snapshot)
        events = self.query_one(OptionList)
        events.highlighted = events.option_count - 1

    def show(self, snapshot: Snapshot) -> None:
        """Draw all events."""
        self.query_one("#case", Static).update(case_line(snapshot))
        self._live = {number for number, _ in snapshot.state.live}
        listed = self.query_one(OptionList)
        at = listed.highlighted
        listed.clear_options()
        listed.add_options(
            Option(self._row(number, event)) for number, event in enumerate(self.session.events, 1)
        )
        if at is not None:
            listed.highlighted = min(at, listed.option_count - 1)
        self.refresh_keys()

    def action_strike(self) -> None:
        """Take the marked event back, or bring it in again."""
        self.start(self._strike)

    def action_export(self) -> None:
        """Write the trail to a file."""
        self.start(export_trail, self, self.session)

    def action_back(self) -> None:
        """Back to the bench."""
        self.dismiss()

    @on(OptionList.OptionSelected)
    def strike_selected(self) -> None:
        """Enter does what `s` does."""
        self.action_strike()

    @on(OptionList.OptionHighlighted)
    def show_whole(self, event: OptionList.OptionHighlighted) -> None:
        """The marked event in full, as rows cut long ones off."""
        number = event.option_index + 1
        words = event_words(self.session.book, self.session.events, number)
        self.query_one("#whole", Static).update(Text(f"{number}  {words}"))

    async def _strike(self) -> None:
        at = self.query_one(OptionList).highlighted
        if at is None:
            return
        number = at + 1
        event = self.session.events[at]
        if isinstance(event, Struck):
            self.app.notify("Mark the event itself, not the line that struck it.", timeout=4)
        elif number in self._live:
            await self.take(lambda: self.session.strike(number))
        else:
            await self.take(lambda: self.session.bring_back(number))

    def _row(self, number: int, event: Event) -> RenderableType:
        struck = number not in self._live and not isinstance(event, Struck)
        style = "strike dim" if struck else QUIET if isinstance(event, Struck) else ""
        words = event_words(self.session.book, self.session.events, number)
        row = Table.grid(padding=(0, 1), expand=True)
        row.add_column(justify="right", min_width=3)
        row.add_column(no_wrap=True)
        row.add_column(min_width=1)
        row.add_column(ratio=1, no_wrap=True, overflow="ellipsis")
        when = f"{event.at.astimezone():%d %b %H:%M}"
        mark = "x" if struck else " "
        told = Text("struck: ", LABEL) if struck else Text()
        row.add_row(str(number), Text(when, QUIET), mark, told + Text(words, style))
        return Group(row)
