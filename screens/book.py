"""The book: browse its entries by kind, or find them by words."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from screens.actions import bindings
from screens.dialogs.choose import ChooseAhead, Item
from screens.engine_screen import EngineScreen
from screens.entry import EntryScreen
from screens.search_screen import SearchScreen
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import LABEL, LOUD, QUIET

if TYPE_CHECKING:
    from diag.session.book_pages import BookPages, Row


def show_book(screen: EngineScreen, kinds: Mapping[str, str]) -> None:
    """Show the book of a family; of several, ask which.

    Args:
        screen: asks and opens it.
        kinds: each family with its kind of machine in words, known beforehand: the question comes
            at once, so that no key that answers it is lost.
    """
    if len(kinds) > 1:
        asked = ChooseAhead("Which book?", [Item(name, says) for name, says in kinds.items()])
        screen.app.push_screen(asked, partial(_open, screen))
    else:
        _open(screen, tuple(kinds))


def _open(screen: EngineScreen, chosen: tuple[str, ...] | None) -> None:
    if chosen:
        screen.start(_read, screen, chosen[0])


async def _read(screen: EngineScreen, family: str) -> None:
    pages = await screen.ask(lambda: screen.engine.shelf().pages(family))
    if pages is not None:
        screen.app.push_screen(BookScreen(pages))


class BookScreen(SearchScreen):
    """The entries of one book.

    Args:
        pages: the book.
    """

    CSS_PATH = "book.tcss"
    PLACE = "book"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = LIST = "#entries"

    def __init__(self, pages: BookPages) -> None:
        super().__init__()
        self._pages = pages
        self._section = 0
        self._rows: tuple[Row, ...] = ()

    def compose(self) -> ComposeResult:
        """Title, kinds of entries, search, entries, keys."""
        title = Text.assemble((self._pages.book.says, LABEL), "   what the book knows")
        yield Static(title, id="case")
        yield Static(id="kinds")
        yield Input(placeholder="words that stand in the entry; Enter when found", id="search")
        yield OptionList(id="entries")
        yield KeyBar(self.PLACE, self.offers, lines=1)

    def offers(self, action: str) -> bool:
        """While one searches, entries of every kind are shown."""
        if action == "section":
            return not self.search.display
        return bool(self._rows) or action != "open"

    def action_open(self) -> None:
        """Read the marked entry."""
        at = self.listed.highlighted
        if at is not None:
            self.app.push_screen(EntryScreen(self._pages, self._rows[at].ref))

    def action_section(self, way: int) -> None:
        """Go to another kind of entry; after the last comes the first."""
        self._section = (self._section + way) % len(self._pages.sections)
        self.draw()

    def action_search(self) -> None:
        """Find entries by words, of every kind from now on."""
        super().action_search()
        self.draw()

    def draw(self) -> None:
        """Draw what was found."""
        is_search = bool(self.search.display)
        section = self._pages.sections[self._section]
        self._rows = (
            self._pages.search(self.search.value) if is_search else self._pages.rows(section)
        )
        self.query_one("#kinds", Static).update(
            self._found() if is_search else kinds(self._pages, section)
        )
        entries = self.listed
        entries.clear_options()
        entries.add_options(Option(_line(row, with_kind=is_search)) for row in self._rows)
        if self._rows:
            entries.highlighted = 0
        self.refresh_keys()

    def _found(self) -> Text:
        if not self.search.value.split():
            return Text("Type words: a part, a symptom, a figure.", QUIET)
        return Text(f"{len(self._rows)} found", QUIET)


def kinds(pages: BookPages, section: str) -> Text:
    """The kinds of entries in a line, the one that is shown told by inversion."""
    from diag.session.book_pages import SECTION_WORDS

    line = Text()
    for name in pages.sections:
        count = len(getattr(pages.book, name))
        if name == section:
            line.append(f" {SECTION_WORDS[name]} {count} ", LOUD)
        else:
            line.append(f" {SECTION_WORDS[name]} ", QUIET)
    return line


def _line(row: Row, *, with_kind: bool) -> RenderableType:
    line = Table.grid(padding=(0, 1), expand=True)
    line.add_column(ratio=1, no_wrap=True, overflow="ellipsis")
    line.add_column(justify="right", no_wrap=True)
    line.add_row(Text(row.says), Text(row.ref.section if with_kind else "", QUIET))
    return line
