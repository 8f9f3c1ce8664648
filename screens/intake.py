"""Intake: one list of what can be said of a deck; unknown is always allowed."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from diag.errors import CaseError
from screens.actions import DIGITS, bindings
from screens.dialogs.choose import Choose, Item
from screens.dialogs.confirm import Confirm
from screens.dialogs.error import ErrorDialog
from screens.dialogs.line import LineDialog
from screens.engine_screen import EngineScreen
from screens.intake_rows import (
    FAMILY,
    NAME,
    STORY,
    SYMPTOMS,
    Row,
    deck_of,
    first_wrong,
    is_wrong,
    number_in,
    rows,
    value_words,
    values_of,
)
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import LABEL, LOUD, QUIET, keyed, labelled, spaced

if TYPE_CHECKING:
    from diag.model.book import Book
    from diag.session.session import Session

READING = "Reading the book ..."


class IntakeScreen(EngineScreen):
    """Takes a deck in, or says anew what it is.

    Args:
        session: the case to amend; None to begin one.
    """

    CSS_PATH = "intake.tcss"
    PLACE = "intake"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = ""

    def __init__(self, session: Session | None = None) -> None:
        super().__init__()
        self._session = session
        self._book: Book | None = None
        self._families: tuple[str, ...] = ()
        self._family = ""
        self._rows: tuple[Row, ...] = ()
        self._values: dict[str, object] = {}
        self._typing = ""
        self._told_first: dict[str, object] = {}

    def compose(self) -> ComposeResult:
        """The list, and the question of the marked row."""
        title = "Take in a deck" if self._session is None else "What this deck is"
        yield Static(Text(title, LABEL), id="case")
        with Horizontal():
            yield OptionList(id="rows")
            with VerticalScroll(id="side", can_focus=False):
                yield Static(READING, id="question")
        yield KeyBar(self.PLACE, self.offers, lines=1)

    def on_mount(self) -> None:
        """Read the book, which may take a moment."""
        self.query_one(OptionList).can_focus = False
        self.start(self._begin_rows)

    def offers(self, action: str) -> bool:
        """Nothing but the way back until the book is read."""
        return bool(self._rows) or action == "back"

    @property
    def _row(self) -> Row:
        return self._rows[self.query_one(OptionList).highlighted or 0]

    def action_mark(self, way: int) -> None:
        """Go to another row."""
        listed = self.query_one(OptionList)
        at = (listed.highlighted or 0) + way
        listed.highlighted = min(max(at, 0), listed.option_count - 1)

    def action_page(self, way: int) -> None:
        """Go several rows on."""
        self.action_mark(8 * way)

    def action_answer(self, key: str) -> None:
        """Take the numbered value; in a row for a number, write it digit by digit."""
        row, number = self._row, int(key) - 1
        if row.kind == "number":
            self.action_type(key)
        elif row.kind == "one" and number < len(row.options):
            self.start(self._take, row, row.options[number][0])
        elif row.kind == "many" and number < len(row.options):
            told = list(self._told())
            name = row.options[number][0]
            told.remove(name) if name in told else told.append(name)
            self._set(row, tuple(told))

    def action_type(self, key: str) -> None:
        """Write one sign of a number, in place so that no quick key is lost; or take one back."""
        row = self._row
        if row.kind != "number":
            return
        goes_on = self._typing == row.id or key == "backspace"
        written = str(self._values.get(row.id) or "") if goes_on else ""
        self._typing = row.id
        signs = {"full_stop": ".", "comma": ","}
        self._set(row, written[:-1] if key == "backspace" else written + signs.get(key, key))

    def action_unknown(self) -> None:
        """Leave the row open, or write the digit into a number that was begun."""
        row = self._row
        if self._typing == row.id and self._values.get(row.id):
            self.action_type("0")
        elif row.id not in (NAME, FAMILY):
            self._set(row, None)
            self.action_mark(1)

    def action_edit(self) -> None:
        """Write into the row, or choose from the whole list."""
        row = self._row
        if row.kind == "text":
            self.start(self._write, row, str(self._values.get(row.id) or ""))
        elif row.kind == "number":
            self.start(self._check_number, row)
        else:
            self.start(self._choose, row)

    def action_begin(self) -> None:
        """Begin the case, or save what was changed."""
        self.start(self._finish_intake)

    def action_back(self) -> None:
        """Back, with nothing written; what was told is not dropped by one key."""
        if self._values == self._told_first:
            self.dismiss()
        else:
            self.start(self._drop)

    @on(OptionList.OptionHighlighted)
    def ask_row(self) -> None:
        """Show the question of the marked row; a number begun elsewhere is done."""
        if self._typing != self._row.id:
            self._stop_typing()
        self.query_one("#question", Static).update(self._question(self._row))

    @on(OptionList.OptionSelected)
    def edit_row(self) -> None:
        """A click on a row writes into it."""
        self.action_edit()

    def _stop_typing(self) -> None:
        """The next digit begins a number; one that can't be is marked in its row."""
        typed, self._typing = self._typing, ""
        listed = self.query_one(OptionList)
        for at, row in enumerate(self._rows):
            if row.id == typed:
                listed.replace_option_prompt_at_index(at, self._line(row))

    async def _drop(self) -> None:
        told = "What was told on this page is not written down yet."
        if await self.app.push_screen_wait(
            Confirm("Drop this page?", told, "drop it", "stay here")
        ):
            self.dismiss()

    async def _begin_rows(self) -> None:
        shelf = await self.ask(self.engine.shelf)
        if shelf is None:
            self.dismiss()
            return
        if self._session is not None:
            state = self._session.snapshot.state
            self._values = values_of(state.name, state.deck, state.story, state.history.symptoms)
            self._told_first = dict(self._values)
            self._lay_out(self._session.book)
            return
        found = await self.ask(lambda: (shelf.families(), len(shelf.decks())))
        if not found or not found[0]:
            self.query_one("#question", Static).update(
                f"There is no book in {self.engine.knowledge}. Name a folder with --knowledge."
            )
            return
        self._families = found[0]
        self._values = {NAME: f"Deck {found[1] + 1}"}
        await self._read_book(self._families[0])
        self._told_first = dict(self._values)

    async def _read_book(self, family: str) -> None:
        self.query_one("#question", Static).update(READING)
        book = await self.ask(lambda: self.engine.shelf().book(family))
        if book is not None:
            self._family = self._values[FAMILY] = family
            self._lay_out(book)
        elif self._book is None:
            self.dismiss()

    def _lay_out(self, book: Book) -> None:
        self._book = book
        self._rows = rows(book, self._families)
        self._draw()
        self.refresh_keys()

    def _draw(self) -> None:
        listed = self.query_one(OptionList)
        at = listed.highlighted or 0
        listed.clear_options()
        listed.add_options(Option(self._line(row)) for row in self._rows)
        listed.highlighted = min(at, len(self._rows) - 1)

    def _line(self, row: Row) -> RenderableType:
        table = Table.grid(padding=(0, 1), expand=True)
        table.add_column(width=16, no_wrap=True, overflow="ellipsis")
        table.add_column(ratio=1, no_wrap=True, overflow="ellipsis")
        known = bool(self._values.get(row.id))
        is_left = self._typing != row.id
        style = LOUD if is_left and is_wrong(row, self._values) else "" if known else QUIET
        said = Text(value_words(row, self._values), style)
        table.add_row(Text(row.label, LABEL if known else ""), said)
        return table

    def _question(self, row: Row) -> RenderableType:
        parts: list[RenderableType] = [Text(row.ask, LABEL)]
        if row.how:
            parts.append(labelled("How", row.how))
        said = self._values.get(row.id)
        chosen = said if isinstance(said, tuple) else (said,)
        options: list[tuple[str, RenderableType]] = [
            (DIGITS[number], Text(f"[x] {says}", LABEL) if value in chosen else Text(f"[ ] {says}"))
            for number, (value, says) in enumerate(row.options[: len(DIGITS)])
        ]
        if len(row.options) > len(DIGITS):
            more = len(row.options) - len(DIGITS)
            options.append(("Enter", Text(f"all of them, {more} more, with search")))
        if row.kind == "text":
            options.append(("Enter", Text("write it")))
        elif row.kind == "number":
            options.append(("1-9 . ,", Text(_what_to_type(row))))
        if row.id not in (NAME, FAMILY):
            options.append(("0", Text("none" if row.kind == "many" else "unknown")))
        parts.append(keyed(options))
        if said:
            parts.append(Text.assemble((" now ", LOUD), f" {value_words(row, self._values)}"))
        return spaced(parts)

    def _told(self) -> tuple[str, ...]:
        told = self._values.get(SYMPTOMS)
        return told if isinstance(told, tuple) else ()

    def _set(self, row: Row, value: object) -> None:
        self._values[row.id] = value
        at = self.query_one(OptionList).highlighted or 0
        self.query_one(OptionList).replace_option_prompt_at_index(at, self._line(row))
        self.query_one("#question", Static).update(self._question(row))

    async def _take(self, row: Row, value: str) -> None:
        if row.id == FAMILY and value != self._family:
            await self._read_book(value)
            return
        self._set(row, value)
        self.action_mark(1)

    async def _write(self, row: Row, value: str) -> None:
        asked = LineDialog(row.label, value, Text(row.ask), replace=row.id == NAME)
        written = await self.app.push_screen_wait(asked)
        if written is None or (row.id == NAME and not written):
            return
        self._set(row, written)
        self.action_mark(1)

    async def _check_number(self, row: Row) -> None:
        try:
            if written := self._values.get(row.id):
                number_in(row, str(written))
        except CaseError as error:
            await self.app.push_screen_wait(ErrorDialog(error))
            self._stop_typing()
            return
        self.action_mark(1)

    async def _choose(self, row: Row) -> None:
        items = [Item(value, says) for value, says in row.options]
        asked = Choose(
            row.ask,
            items,
            many=row.kind == "many",
            chosen=self._told() if row.kind == "many" else (),
        )
        chosen = await self.app.push_screen_wait(asked)
        if chosen is None:
            return
        if row.kind == "many":
            self._set(row, chosen)
            self.action_mark(1)
        else:
            await self._take(row, chosen[0])

    async def _finish_intake(self) -> None:
        name, story, symptoms = (
            str(self._values[NAME]),
            str(self._values.get(STORY) or ""),
            self._told(),
        )
        try:
            deck = deck_of(self._rows, self._values)
        except CaseError as error:
            await self.app.push_screen_wait(ErrorDialog(error))
            self._stop_typing()
            self.query_one(OptionList).highlighted = first_wrong(self._rows, self._values)
            return
        if self._session is not None:
            session = self._session
            if await self.ask(lambda: session.correct(name, deck, story, symptoms)):
                self.dismiss()
            return
        family, shelf = self._family, self.engine.shelf
        begun = await self.ask(lambda: shelf().take_in(name, family, deck, symptoms, story))
        if begun is not None:
            from screens.bench import BenchScreen

            # Not awaited: it ends this very worker together with its screen.
            self.app.switch_screen(BenchScreen(begun))


def _what_to_type(row: Row) -> str:
    """The unit of a number, and what it can be."""
    if row.fact is not None and row.fact.range:
        return f"type it: {row.fact.ends}"
    return f"type it, in {row.unit}" if row.unit else "type it"
