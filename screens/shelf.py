"""The shelf: every deck, the one touched last first."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from diag.errors import BenchtrailError
from diag.planning.reasons import minutes_in_words
from screens.actions import bindings
from screens.dialogs.error import ErrorDialog
from screens.dialogs.line import LineDialog
from screens.engine_screen import EngineScreen
from screens.export import ask_path, proposed
from screens.intake_rows import words
from screens.sheets import offer_says
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import LABEL, QUIET, keyed, spaced

if TYPE_CHECKING:
    from diag.cases.rows import CaseSummary
    from diag.session.shelf import Shelf

TITLE = "benchtrail   decks on the bench"
CASE_FILE = ".case.json"
PAUSE_S = 0.3
"""How long a deck must be marked before its next step is worked out."""
EMPTY = spaced(
    [
        Text("No deck is on the bench yet.", LABEL),
        keyed(
            [
                ("n", "take in a deck: its name, what its owner complains of, what you know"),
                ("i", "import a case file that came from another bench"),
                ("?", "what every key does"),
            ]
        ),
        Text("Every answer is saved the moment it is given; you can stop at any time."),
    ]
)


class ShelfScreen(EngineScreen):
    """All decks of a store.

    Args:
        open_case: a case to open at once.
    """

    CSS_PATH = "shelf.tcss"
    PLACE = "shelf"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = "#decks"

    def __init__(self, open_case: str | None = None) -> None:
        super().__init__()
        self._open_case = open_case
        self._decks: tuple[CaseSummary, ...] = ()
        self._shown: tuple[CaseSummary, ...] = ()
        self._complaints: dict[str, str] = {}
        self._kinds: Mapping[str, str] = {}
        self._additions_told = False
        self._pause = self.set_timer(PAUSE_S, lambda: None, pause=True)

    def compose(self) -> ComposeResult:
        """Title, search, decks, what comes next for the marked one, keys."""
        yield Static(Text(TITLE, LABEL), id="case")
        yield Input(placeholder="part of a name or complaint; Enter when found", id="search")
        yield Static(_columns(Text("Deck"), "Complaint", "Family", "Touched", "Events"), id="head")
        yield OptionList(id="decks")
        yield Static("Reading the store ...", id="state")
        yield KeyBar(self.PLACE, self.offers, lines=1)

    def on_mount(self) -> None:
        """Without decks there is nothing to search."""
        self.query_one("#search").display = False

    def on_screen_resume(self) -> None:
        """Read the decks; something may have been done to one."""
        self.start(self._read)

    def offers(self, action: str) -> bool:
        """Without a deck there is nothing to open, search, order or export."""
        return bool(self._shown) or action not in ("open", "export", "search", "orders")

    def action_open(self) -> None:
        """Go on with the marked deck."""
        if deck := self._marked():
            self.start(self._open, deck.id)

    def action_new(self) -> None:
        """Take in a deck."""
        from screens.intake import IntakeScreen

        self.app.push_screen(IntakeScreen())

    def action_search(self) -> None:
        """Show only what holds a word."""
        self.query_one("#search").display = True
        self.query_one("#search").focus()

    def action_take_file(self) -> None:
        """Import a case file."""
        self.start(self._import)

    def action_export(self) -> None:
        """Write the marked deck as a case file."""
        if deck := self._marked():
            self.start(self._export, deck)

    def action_book(self) -> None:
        """Read what the book knows."""
        from screens.book import show_book

        show_book(self, self._kinds)

    def action_workshop(self) -> None:
        """Work a bench sum."""
        from screens.workshop import WorkshopScreen

        self.app.push_screen(WorkshopScreen())

    def action_orders(self) -> None:
        """The parts that all decks need."""
        from screens.orders import OrdersScreen

        self.app.push_screen(OrdersScreen())

    def action_leave(self) -> None:
        """Out."""
        self.app.exit()

    def action_back(self) -> None:
        """Away from the search; a hand that goes back once too often does not end the app."""
        search = self.query_one("#search", Input)
        if search.display:
            search.value = ""
            search.display = False
            self.query_one("#decks").focus()
        else:
            self.query_one("#state", Static).update("This is the shelf. q leaves.")

    @on(OptionList.OptionSelected)
    def open_selected(self) -> None:
        """Enter opens."""
        self.action_open()

    @on(OptionList.OptionHighlighted)
    def glance(self) -> None:
        """Say what comes next for the marked deck, once it has been marked for a moment."""
        self._pause.stop()
        if deck := self._marked():
            self._pause = self.set_timer(PAUSE_S, partial(self._tell_next, deck.id))

    @on(Input.Changed, "#search")
    def narrow(self) -> None:
        """Show what holds the word."""
        self._draw()

    @on(Input.Submitted, "#search")
    def found(self) -> None:
        """Back to the list."""
        self.query_one("#decks").focus()

    async def _read(self) -> None:
        shelf = await self.ask(self.engine.shelf)
        found = await self.ask(lambda: (shelf.decks(), shelf.kinds())) if shelf else None
        state = self.query_one("#state", Static)
        if shelf is None or found is None:
            state.update(f"The store can't be read: {self.engine.store}")
            return
        decks, self._kinds = found
        self._decks = decks
        self._draw()
        state.update(EMPTY if not decks else "")
        await self._tell_additions(shelf)
        if self._open_case is not None:
            case, self._open_case = self._open_case, None
            await self._open(case)
        elif decks:
            state.update("Reading the book ...")
            self._complaints = await asyncio.to_thread(_complaints, shelf, decks)
            state.update("")
            self._draw()

    async def _tell_additions(self, shelf: Shelf) -> None:
        """Once, and then at the top of the screen: the user's additions can't be used."""
        if self._additions_told or shelf.additions is None:
            return
        self._additions_told = True
        error = await asyncio.to_thread(shelf.additions_error)
        if error is not None:
            self.query_one("#case", Static).update(Text(f"{TITLE}   (additions left out)", LABEL))
            await self.app.push_screen_wait(ErrorDialog(error))

    async def _open(self, case: str) -> None:
        state = self.query_one("#state", Static)
        state.update("Reading the book and the case ...")
        session = await self.ask(lambda: self.engine.reopen(case))
        state.update("")
        if session is not None:
            from screens.bench import BenchScreen

            self.app.push_screen(BenchScreen(session))

    async def _import(self) -> None:
        body = Text(f"The path of a file that ends in {CASE_FILE}")
        typed = await self.app.push_screen_wait(LineDialog("Import which file?", body=body))
        if not typed:
            return
        path = Path(typed).expanduser()
        taken = await self.ask(lambda: self.engine.shelf().import_file(path))
        if taken is not None:
            told = "This case was here already" if taken.was_here else "Imported"
            self.app.notify(f"{told}: {taken.case_id}", markup=False)
            await self._read()

    async def _export(self, deck: CaseSummary) -> None:
        path = await ask_path(self, proposed(deck.name, CASE_FILE))
        if path is None:
            return

        def write() -> bool:
            self.engine.shelf().export_file(deck.id, path)
            return True

        if await self.ask(write):
            self.app.notify(f"Written: {path}", markup=False)

    @work(group="glance")
    async def _tell_next(self, case: str) -> None:
        try:
            told = await asyncio.to_thread(self._next_of, case)
        except BenchtrailError as error:
            told = f"It can't be opened: {error.found}"
        marked = self._marked()
        if marked and marked.id == case:
            self.query_one("#state", Static).update(Text(told))

    def _next_of(self, case: str) -> str:
        snapshot = self.engine.reopen(case).snapshot
        spent = f"{minutes_in_words(snapshot.minutes)} spent. " if snapshot.minutes else ""
        if snapshot.assessment and snapshot.assessment.is_well:
            return f"{spent}The final test has passed."
        step = snapshot.next_step
        return f"{spent}Next: {offer_says(snapshot.book, step.kind, step.id)}" if step else spent

    def _marked(self) -> CaseSummary | None:
        at = self.query_one("#decks", OptionList).highlighted
        return self._shown[at] if at is not None and at < len(self._shown) else None

    def _draw(self) -> None:
        marked = self._marked()
        wanted = self.query_one("#search", Input).value.casefold()
        self._shown = tuple(
            deck
            for deck in self._decks
            if wanted in f"{deck.name} {self._complaints.get(deck.id, '')}".casefold()
        )
        listed = self.query_one("#decks", OptionList)
        listed.clear_options()
        listed.add_options(Option(self._line(deck)) for deck in self._shown)
        if self._shown:
            ids = [deck.id for deck in self._shown]
            listed.highlighted = ids.index(marked.id) if marked and marked.id in ids else 0
        self.query_one("#head").display = bool(self._decks)
        listed.display = bool(self._decks)
        self.refresh_keys()

    def _line(self, deck: CaseSummary) -> RenderableType:
        return _columns(
            Text(deck.name, LABEL),
            self._complaints.get(deck.id, ""),
            words(deck.family),
            f"{deck.touched.astimezone():%d %b %H:%M}",
            str(deck.events),
        )


def _complaints(shelf: Shelf, decks: tuple[CaseSummary, ...]) -> dict[str, str]:
    """What each owner complained of; a deck whose book can't be read says so."""
    told = {}
    for deck in decks:
        try:
            told[deck.id] = "; ".join(shelf.complaints(deck.id))
        except BenchtrailError:
            told[deck.id] = "(its book can't be read)"
    return told


def _columns(name: Text, *others: str) -> RenderableType:
    complaint, family, touched, events = others
    row = Table.grid(padding=(0, 1), expand=True)
    row.add_column(ratio=3, no_wrap=True, overflow="ellipsis")
    row.add_column(ratio=4, no_wrap=True, overflow="ellipsis")
    row.add_column(width=9, no_wrap=True, overflow="ellipsis")
    row.add_column(width=12, no_wrap=True)
    row.add_column(width=6, justify="right")
    row.add_row(name, complaint, Text(family, QUIET), touched, events)
    return row
