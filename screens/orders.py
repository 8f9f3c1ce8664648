"""The order list: what all decks on the shelf need."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import ClassVar

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from diag.session.parts import DeckPart, cost, keep_part, parts_csv
from screens.actions import bindings
from screens.engine_screen import EngineScreen
from screens.export import ask_path, proposed
from screens.parts import STATES, part_row
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import LABEL

EMPTY = "No deck on the shelf wants a part. Parts of a deck are on its bench, at q."


class OrdersScreen(EngineScreen):
    """What is wanted, ordered or has arrived, of every deck."""

    CSS_PATH = "parts.tcss"
    PLACE = "orders"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = "#parts"

    def __init__(self) -> None:
        super().__init__()
        self._parts: tuple[DeckPart, ...] = ()

    def compose(self) -> ComposeResult:
        """Title and sum, parts, keys."""
        yield Static(Text("Reading the decks ..."), id="sum")
        yield OptionList(id="parts")
        yield KeyBar(self.PLACE, self.offers, lines=1)

    def on_mount(self) -> None:
        """Read the decks."""
        self.start(self._read)

    def offers(self, action: str) -> bool:
        """Without a part there is nothing to say or to write."""
        return bool(self._parts) or action not in ("state", "export")

    def action_state(self, key: str) -> None:
        """Say how the marked part stands."""
        self.start(self._keep, int(key) - 1)

    def action_export(self) -> None:
        """Write the list for a spreadsheet."""
        self.start(self._export)

    def action_back(self) -> None:
        """Back to the shelf."""
        self.dismiss()

    async def _read(self) -> None:
        found = await self.ask(lambda: self.engine.shelf().parts())
        if found is None:
            self.dismiss()
            return
        self._parts = found
        price = cost(part.line for part in found)
        told = f"Order list: {len(found)}" + (f", {price:.2f} as far as priced" if price else "")
        self.query_one("#sum", Static).update(Text(told if found else EMPTY, LABEL))
        listed = self.query_one("#parts", OptionList)
        at = listed.highlighted or 0
        listed.clear_options()
        listed.add_options(Option(_row(part)) for part in found)
        listed.highlighted = min(at, len(found) - 1) if found else None
        self.refresh_keys()

    async def _keep(self, state: int) -> None:
        at = self.query_one("#parts", OptionList).highlighted
        if at is None:
            return
        part = self._parts[at]
        line = replace(part.line, state=STATES[state])
        await self.ask(lambda: keep_part(self.engine.reopen(part.case), line))
        await self._read()

    async def _export(self) -> None:
        path = await ask_path(self, proposed("order list", ".csv"))
        if path is not None and await self.ask(lambda: self._write(path)):
            self.app.notify(f"Written: {path}", markup=False)

    def _write(self, path: Path) -> bool:
        from diag.cases.new_file import write_new_file

        write_new_file(path, parts_csv(self._parts), "list of parts")
        return True


def _row(part: DeckPart) -> RenderableType:
    row = Table.grid(padding=(0, 1), expand=True)
    row.add_column(ratio=2, no_wrap=True, overflow="ellipsis")
    row.add_column(ratio=5)
    row.add_row(Text(part.deck, LABEL), part_row(part.line))
    return row
