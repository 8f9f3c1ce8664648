"""The book: browse its entries by kind, or find them by words."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from screens.actions import bindings
from screens.dialogs.choose import Choose, Item
from screens.engine_screen import EngineScreen
from screens.entry import EntryScreen
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import LABEL, LOUD, QUIET

if TYPE_CHECKING:
    from diag.session.book_pages import BookPages, Row


async def show_book(screen: EngineScreen) -> None:
    """Show the book of a family; of several, ask which."""
    shelf = await screen.ask(screen.engine.shelf)
    families = shelf.families() if shelf else ()
    if shelf is None or not families:
        return
    family = families[0]
    if len(families) > 1:
        said = await screen.ask(lambda: [Item(name, shelf.book(name).says) for name in families])
        chosen = await screen.app.push_screen_wait(Choose("Which book?", said)) if said else None
        if not chosen:
            return
        family = chosen[0]
    pages = await screen.ask(lambda: shelf.pages(family))
    if pages is not None:
        screen.app.push_screen(BookScreen(pages))


class BookScreen(EngineScreen):
    """The entries of one book.

    Args:
        pages: the book.
    """

    CSS_PATH = "book.tcss"
    PLACE = "book"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = "#entries"

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

    def on_mount(self) -> None:
        """Begin with the complaints."""
        self.query_one("#search").display = False
        self._draw()

    def offers(self, action: str) -> bool:
        """While one searches, entries of every kind are shown."""
        if action == "section":
            return not self._search.display
        return bool(self._rows) or action != "open"

    def action_open(self) -> None:
        """Read the marked entry."""
        at = self._entries.highlighted
        if at is not None:
            self.app.push_screen(EntryScreen(self._pages, self._rows[at].ref))

    def action_section(self, way: int) -> None:
        """Go to another kind of entry; after the last comes the first."""
        self._section = (self._section + way) % len(self._pages.sections)
        self._draw()

    def action_search(self) -> None:
        """Find entries by words."""
        self._search.display = True
        self._search.focus()
        self._draw()

    def action_mark(self, way: int) -> None:
        """Mark the entry above or below, out of the search as well."""
        if way > 0:
            self._entries.action_cursor_down()
        else:
            self._entries.action_cursor_up()

    def action_page(self, way: int) -> None:
        """Mark the entry a page up or down."""
        entries = self._entries
        if entries.highlighted is not None:
            at = entries.highlighted + way * max(1, entries.size.height - 1)
            entries.highlighted = min(max(at, 0), entries.option_count - 1)

    def action_back(self) -> None:
        """Leave the search, or the book."""
        if self._search.display:
            self._search.display = False
            self._search.value = ""
            self._entries.focus()
            self._draw()
        else:
            self.dismiss()

    @on(OptionList.OptionSelected)
    def open_selected(self) -> None:
        """Enter reads."""
        self.action_open()

    @on(Input.Changed, "#search")
    def narrow(self) -> None:
        """Show what holds the words."""
        self._draw()

    @on(Input.Submitted, "#search")
    def found(self) -> None:
        """On to the list."""
        self._entries.focus()

    @property
    def _search(self) -> Input:
        return self.query_one("#search", Input)

    @property
    def _entries(self) -> OptionList:
        return self.query_one("#entries", OptionList)

    def _draw(self) -> None:
        is_search = bool(self._search.display)
        section = self._pages.sections[self._section]
        self._rows = (
            self._pages.search(self._search.value) if is_search else self._pages.rows(section)
        )
        self.query_one("#kinds", Static).update(
            self._found() if is_search else kinds(self._pages, section)
        )
        entries = self._entries
        entries.clear_options()
        entries.add_options(Option(_line(row, with_kind=is_search)) for row in self._rows)
        if self._rows:
            entries.highlighted = 0
        self.refresh_keys()

    def _found(self) -> Text:
        if not self._search.value.split():
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
