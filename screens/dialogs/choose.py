"""One or several out of a list, found by typing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.console import Group, RenderableType
from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from screens.actions import DIGITS
from screens.dialogs.page import Page
from screens.widgets.lines import QUIET, keyed

ONE = "Digit, or arrows and Enter: choose"
MANY = "Digit, or arrows and Space: mark   Enter: done"

AT_ONCE = 60
"""Rows drawn at once; the next come when the list is gone down. To draw all takes a second."""


@dataclass(frozen=True, slots=True)
class Item:
    """What can be chosen; `detail` stands below it in quiet type."""

    id: str
    says: str
    detail: str = ""


class Search(Input):
    """A line for letters; digits and the space bar are left to the list below it."""

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Take letters only."""
        taken = super().check_consume_key(key, character)
        return taken and character is not None and not (character.isdigit() or character == " ")


class Choose(Page[tuple[str, ...] | None]):
    """Gives the ids of what was chosen; one only, unless `many`; None when the person goes back.

    Args:
        title: what is to be chosen.
        items: all that there is, in the order of the list.
        many: several may be chosen.
        chosen: what is chosen from the start.
    """

    KEYS: ClassVar[tuple[tuple[str, str], ...]] = (
        *((digit, f"number({digit})") for digit in DIGITS),
        ("up", "move(-1)"),
        ("down", "move(1)"),
        ("pageup", "move(-8)"),
        ("pagedown", "move(8)"),
        ("space", "turn"),
        ("enter", "done"),
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(key, action, show=False, priority=True) for key, action in KEYS
    ]

    def __init__(
        self, title: str, items: Sequence[Item], *, many: bool = False, chosen: Sequence[str] = ()
    ) -> None:
        self._items = tuple(items)
        self._long = len(self._items) > len(DIGITS)
        super().__init__(title, keys=f"{MANY if many else ONE}   Esc: back")
        self._many = many
        self._chosen = list(chosen)
        self._found = self._items
        self.listed = OptionList()  # here, as keys may come before the window is drawn
        self.listed.can_focus = False
        self._fill()

    def on_mount(self) -> None:
        """Draw more rows as the list is gone down."""
        self.watch(self.listed, "scroll_y", self._go_down, init=False)

    def window(self) -> ComposeResult:
        """The line to type into, if the list is long, and what fits it."""
        if self._long:
            yield Search(placeholder="letters search")
        yield self.listed

    @on(Input.Changed)
    def search(self, event: Input.Changed) -> None:
        """Keep what holds the letters in a row, in its words before in its detail.

        Spaces and case don't count.
        """
        wanted = _squeezed(event.value)
        named = [item for item in self._items if wanted in _squeezed(item.says)]
        told = [i for i in self._items if i not in named and wanted in _squeezed(i.detail)]
        self._found = (*named, *told)
        self._fill()

    def action_number(self, number: int) -> None:
        """Take the row of that number."""
        if number <= len(self._found):
            self._take(number - 1)

    def action_move(self, rows: int) -> None:
        """Move the mark."""
        listed = self.listed
        if listed.option_count:
            at = (listed.highlighted or 0) + rows
            while at >= listed.option_count and self._add_rows():
                pass
            listed.highlighted = min(max(at, 0), listed.option_count - 1)

    def action_turn(self) -> None:
        """Take the marked row; among several it is marked or unmarked."""
        at = self.listed.highlighted
        if at is not None and self._many and self._found:
            self._take(at)

    def action_done(self) -> None:
        """Give what was chosen."""
        at = self.listed.highlighted
        if self._many:
            self.dismiss(tuple(self._chosen))
        elif at is not None and self._found:
            self._take(at)

    def _take(self, at: int) -> None:
        item = self._found[at].id
        if not self._many:
            self.dismiss((item,))
            return
        if item in self._chosen:
            self._chosen.remove(item)
        else:
            self._chosen.append(item)
        searched = self.query(Search)
        if searched and searched.first().value:
            searched.first().value = ""  # everything is listed again, for the next word
        else:
            self._fill(at)

    def _fill(self, at: int = 0) -> None:
        listed = self.listed
        listed.clear_options()
        while self._add_rows() and listed.option_count <= at:
            pass
        if not self._found:
            listed.add_option(Option(Text("Nothing holds these letters.", QUIET), disabled=True))
        else:
            listed.highlighted = min(at, len(self._found) - 1)

    def _add_rows(self) -> bool:
        """Add the next rows; False if all were there."""
        first = self.listed.option_count
        rows = self._found[first : first + AT_ONCE]
        self.listed.add_options(Option(self._row(first + n, i)) for n, i in enumerate(rows))
        return bool(rows)

    def _go_down(self) -> None:
        if self._found and self.listed.scroll_y >= self.listed.max_scroll_y - 1:
            self._add_rows()

    def _row(self, number: int, item: Item) -> RenderableType:
        key = DIGITS[number] if number < len(DIGITS) else " "
        mark = ("[x] " if item.id in self._chosen else "[ ] ") if self._many else ""
        says = Text(mark + item.says)
        return keyed([(key, Group(says, Text(item.detail, QUIET)) if item.detail else says)])


class ChooseAhead(Choose):
    """For a harmless question: takes keys typed ahead, too, which the screen below had first."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(key, action, show=False) for key, action in Choose.KEYS
    ]


def _squeezed(text: str) -> str:
    return "".join(text.casefold().split())
