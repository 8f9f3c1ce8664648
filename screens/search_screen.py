"""What lists with a search share: words narrow the list, and keys go on marking lines meanwhile."""

from __future__ import annotations

from textual import on
from textual.widgets import Input, OptionList

from screens.engine_screen import EngineScreen


class SearchScreen(EngineScreen):
    """A list (`LIST`) under a search (`#search`) that is hidden until it is asked for."""

    LIST = ""

    def action_open(self) -> None:
        """Open the marked line."""
        raise NotImplementedError

    def draw(self) -> None:
        """Draw the lines that hold the words."""
        raise NotImplementedError

    def on_mount(self) -> None:
        """Begin with all of them."""
        self.search.display = False
        self.draw()

    def action_search(self) -> None:
        """Find by words."""
        self.search.display = True
        self.search.focus()

    def action_mark(self, way: int) -> None:
        """Mark the line above or below, out of the search as well."""
        if way > 0:
            self.listed.action_cursor_down()
        else:
            self.listed.action_cursor_up()

    def action_page(self, way: int) -> None:
        """Mark the line a page up or down."""
        if self.listed.highlighted is not None:
            at = self.listed.highlighted + way * max(1, self.listed.size.height - 1)
            self.listed.highlighted = min(max(at, 0), self.listed.option_count - 1)

    def action_back(self) -> None:
        """Leave the search, or the screen."""
        if self.search.display:
            self.search.display = False
            self.search.value = ""
            self.listed.focus()
            self.draw()
        else:
            self.dismiss()

    @on(OptionList.OptionSelected)
    def open_selected(self) -> None:
        """Enter opens."""
        self.action_open()

    @on(Input.Changed, "#search")
    def narrow(self) -> None:
        """Show what holds the words."""
        self.draw()

    @on(Input.Submitted, "#search")
    def found(self) -> None:
        """Open the marked line; whoever comes back is in the list."""
        self.listed.focus()
        self.action_open()

    @property
    def search(self) -> Input:
        """Where the words are typed."""
        return self.query_one("#search", Input)

    @property
    def listed(self) -> OptionList:
        """The lines."""
        return self.query_one(self.LIST, OptionList)
