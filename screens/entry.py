"""One entry of the book in words, with ways to all that it names and all that names it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, ClassVar

from rich.console import Group, RenderableType
from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from screens.actions import bindings
from screens.engine_screen import EngineScreen
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import LABEL, QUIET, heading, keyed

if TYPE_CHECKING:
    from diag.model.mentions import Ref
    from diag.session.book_pages import BookPage, BookPages
    from diag.session.book_parts import Link


class EntryScreen(EngineScreen):
    """A page of the book. Text can't be marked; the mark goes from one way on to the next.

    Args:
        pages: the book.
        ref: the entry.
    """

    CSS_PATH = "book.tcss"
    PLACE = "entry"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = "#page"

    def __init__(self, pages: BookPages, ref: Ref) -> None:
        super().__init__()
        self._pages = pages
        self._page = pages.page(ref)
        self._links: dict[str, Ref] = {}

    def compose(self) -> ComposeResult:
        """Title and where it stands, the page, keys."""
        yield Static(_head(self._page), id="case")
        yield OptionList(id="page")
        yield KeyBar(self.PLACE, self.offers, lines=1)

    def on_mount(self) -> None:
        """Write the page."""
        page = self.query_one(OptionList)
        for number, (shown, link) in enumerate(lines(self._page)):
            page.add_option(Option(shown, id=str(number), disabled=link is None))
            if link is not None:
                self._links[str(number)] = link.ref
        # The mark waits on the first way on, and the page at its top.
        page.action_first()
        page.scroll_home(animate=False)

    def offers(self, action: str) -> bool:
        """Without a way on there is nothing to follow."""
        return bool(self._links) or action not in ("follow", "mark")

    def action_follow(self) -> None:
        """Go to the marked entry."""
        page = self.query_one(OptionList)
        if page.highlighted is not None:
            self._go(page.get_option_at_index(page.highlighted).id)

    def action_mark(self, way: int) -> None:
        """Mark the way on above or below."""
        page = self.query_one(OptionList)
        if way > 0:
            page.action_cursor_down()
        else:
            page.action_cursor_up()

    def action_page(self, way: int) -> None:
        """Scroll the page."""
        page = self.query_one(OptionList)
        page.scroll_relative(y=way * max(1, page.size.height - 2), animate=False)

    def action_back(self) -> None:
        """Back to the page or list before."""
        self.dismiss()

    def action_leave(self) -> None:
        """Out of every page of the book at once."""
        from screens.book import BookScreen

        stack = self.app.screen_stack
        of_book = (EntryScreen, BookScreen)
        while len(stack) > 1 and isinstance(self.app.screen, of_book):
            self.app.pop_screen()

    @on(OptionList.OptionSelected)
    def selected(self, event: OptionList.OptionSelected) -> None:
        """Enter follows."""
        self._go(event.option.id)

    def _go(self, option: str | None) -> None:
        if option in self._links:
            self.app.push_screen(EntryScreen(self._pages, self._links[option]))


def _head(page: BookPage) -> RenderableType:
    where = Text(f"{page.ref.section} / {page.ref.id}   {page.origin}", QUIET)
    where.no_wrap, where.overflow = True, "ellipsis"
    return Group(Text(page.title, LABEL), where)


def _title(title: str, *, is_first: bool) -> RenderableType:
    return heading(title) if is_first else Group(Text(), heading(title))


def lines(page: BookPage) -> Iterator[tuple[RenderableType, Link | None]]:
    """The page line by line; those that lead on come with their way."""
    for number, part in enumerate(page.parts):
        yield _title(part.title, is_first=number == 0), None
        for text in part.lines:
            yield Text(text), None
        for link in part.links:
            note = f"  {link.note}" if link.note else ""
            yield keyed([(">", Text.assemble(link.says, (note, QUIET)))]), link
    if page.basis:
        yield _title("Where the figures come from", is_first=not page.parts), None
        for at, words in page.basis:
            yield Text(f"{at or 'all'}: {words}"), None
    edit = f"benchtrail knowledge edit {page.ref.section}/{page.ref.id}"
    yield Group(Text(), Text.assemble("To change it in a copy of your own: ", (edit, LABEL))), None
