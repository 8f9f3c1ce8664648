"""The parts that a deck needs: wanted, ordered, arrived, fitted."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, ClassVar

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from diag.cases.part_kept import PartState
from diag.errors import CaseError
from diag.session.parts import PartLine, cost, keep_part, offered_parts, parts_of
from screens.actions import bindings
from screens.bench_side import case_line
from screens.case_screen import CaseScreen
from screens.dialogs.choose import Choose, Item
from screens.dialogs.error import ErrorDialog
from screens.dialogs.line import LineDialog
from screens.numbers import number_of
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import LABEL, QUIET

if TYPE_CHECKING:
    from diag.session.session import Session
    from diag.session.snapshot import Snapshot

STATES: tuple[PartState, ...] = ("wanted", "ordered", "arrived", "fitted", "not_needed")
"""In the order of their digits."""
EMPTY = (
    "No part is on the list. What the remedies of the trail take comes by itself; a adds another."
)
OWN = "another"


class PartsScreen(CaseScreen):
    """The parts of one deck, each in a row."""

    CSS_PATH = "parts.tcss"
    PLACE = "parts"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = "#parts"

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._lines: tuple[PartLine, ...] = ()

    def compose(self) -> ComposeResult:
        """Case line, sum, parts, the marked one in full, keys."""
        yield Static(id="case")
        yield Static(id="sum")
        yield OptionList(id="parts")
        yield Static(id="whole")
        yield KeyBar(self.PLACE, self.offers)

    def on_mount(self) -> None:
        """Show the list."""
        self.show(self.session.snapshot)

    def show(self, snapshot: Snapshot) -> None:
        """Draw the parts of a case."""
        self._lines = parts_of(snapshot.book, snapshot.state)
        self.query_one("#case", Static).update(case_line(snapshot))
        price = cost(self._lines)
        told = f"Parts: {len(self._lines)}" + (f", {price:.2f} in all so far" if price else "")
        self.query_one("#sum", Static).update(Text(told, LABEL))
        listed = self.query_one("#parts", OptionList)
        at = listed.highlighted or 0
        listed.clear_options()
        listed.add_options(Option(part_row(line)) for line in self._lines)
        listed.highlighted = min(at, len(self._lines) - 1) if self._lines else None
        if not self._lines:
            self.query_one("#whole", Static).update(EMPTY)
        self.refresh_keys()

    def offers(self, action: str) -> bool:
        """Without a part there is nothing to say of it."""
        state = self.session.snapshot.state
        match action:
            case "state" | "price" | "count" | "note":
                return bool(self._lines)
            case "undo":
                return state.to_undo is not None
            case "redo":
                return state.to_redo is not None
        return True

    def action_state(self, key: str) -> None:
        """Say how the marked part stands."""
        self.start(self._keep, {"state": STATES[int(key) - 1]})

    def action_price(self) -> None:
        """Say what one costs."""
        self.start(self._ask_number, "price", "What does one cost?")

    def action_count(self) -> None:
        """Say how many are needed."""
        self.start(self._ask_number, "count", "How many?")

    def action_note(self) -> None:
        """Write something down about it."""
        self.start(self._ask_note)

    def action_add(self) -> None:
        """Add a part."""
        self.start(self._add)

    def action_undo(self) -> None:
        """Take the last event back."""
        self.start(self.take, self.session.undo)

    def action_redo(self) -> None:
        """Bring back what was taken back last."""
        self.start(self.take, self.session.redo)

    def action_back(self) -> None:
        """Back."""
        self.dismiss()

    @on(OptionList.OptionHighlighted)
    def show_whole(self) -> None:
        """The marked part in full, as rows cut long ones off."""
        line = self._line
        if line is not None:
            told = [line.part, line.work and f"for: {line.work}", line.note]
            self.query_one("#whole", Static).update(Text("; ".join(t for t in told if t)))

    @property
    def _line(self) -> PartLine | None:
        at = self.query_one("#parts", OptionList).highlighted
        return self._lines[at] if at is not None and at < len(self._lines) else None

    async def _keep(self, changes: dict[str, Any]) -> None:
        line = self._line
        if line is not None:
            await self.take(lambda: keep_part(self.session, replace(line, **changes)))

    async def _ask_number(self, what: str, title: str) -> None:
        line = self._line
        if line is None:
            return
        known = line.price if what == "price" else line.count
        shown = "" if known is None else f"{known:g}"
        typed = await self.app.push_screen_wait(
            LineDialog(title, shown, Text(line.part), replace=True)
        )
        if typed is None:
            return
        try:
            value = _number(what, typed)
        except CaseError as error:
            await self.app.push_screen_wait(ErrorDialog(error))
            return
        await self._keep({what: value})

    async def _ask_note(self) -> None:
        line = self._line
        if line is None:
            return
        body = Text("Maker's number, size, where it was ordered.")
        typed = await self.app.push_screen_wait(LineDialog(line.part, line.note, body))
        if typed is not None:
            await self._keep({"note": typed})

    async def _add(self) -> None:
        snapshot = self.session.snapshot
        offered = {f"{line.remedy}/{line.part}": line for line in offered_parts(snapshot)}
        items = [Item(OWN, "Another part: write it")]
        items += [Item(key, line.part, f"for: {line.work}") for key, line in offered.items()]
        chosen = await self.app.push_screen_wait(Choose("Which part?", items))
        if not chosen:
            return
        line = offered.get(chosen[0])
        if line is None:
            typed = await self.app.push_screen_wait(LineDialog("Which part?"))
            if not typed:
                return
            line = PartLine(part=typed, remedy="", work="", state="wanted")
        added = line
        if await self.take(lambda: keep_part(self.session, added)):
            self.query_one("#parts", OptionList).highlighted = len(self._lines) - 1


def _number(what: str, typed: str) -> float | int | None:
    """A price, None if it is left empty, or a whole number of parts.

    Raises:
        CaseError: it is no number, or half a part.
    """
    if what == "price":
        return number_of(typed) if typed else None
    value = number_of(typed)
    if value != int(value):
        raise CaseError(f"'{typed}' is no whole number.", do="Parts come whole: count them.")
    return int(value)


def part_row(line: PartLine) -> RenderableType:
    """State, number, name, work and price in one row."""
    row = Table.grid(padding=(0, 1), expand=True)
    row.add_column(width=10, no_wrap=True)
    row.add_column(width=4, justify="right", no_wrap=True)
    row.add_column(ratio=3, no_wrap=True, overflow="ellipsis")
    row.add_column(ratio=3, no_wrap=True, overflow="ellipsis")
    row.add_column(width=9, justify="right", no_wrap=True)
    price = "" if line.price is None else f"{line.price:.2f}"
    is_due = line.state in ("wanted", "ordered", "arrived")
    state = Text(line.state.replace("_", " "), LABEL if is_due else QUIET)
    row.add_row(state, f"{line.count} x", Text(line.part), Text(line.work, QUIET), price)
    return row
