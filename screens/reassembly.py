"""Reassembly: what came off goes back on in the opposite order, layer by layer."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from rich.console import RenderableType
from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from diag.cases.taken_apart import Return
from diag.session.taken_apart import put_back
from diag.trail.loose import Loose, StrippedLayer, reassembly_order, stripped
from screens.actions import bindings
from screens.apart_screen import ApartScreen, GoTo
from screens.bench_side import case_line
from screens.loose_side import in_here_part, looks_part, thing_line
from screens.sheets import layer_name
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import LABEL, keyed, spaced

if TYPE_CHECKING:
    from diag.session.session import Session
    from diag.session.snapshot import Snapshot

CLOSED = "The deck is closed, and nothing that was told to be off is unaccounted for."


class ReassemblyScreen(ApartScreen):
    """One layer at a time, the deepest first, as a list to tick off.

    Args:
        session: the case.
        go_to: puts a step on the bench; this screen is left then.
    """

    CSS_PATH = "reassembly.tcss"
    PLACE = "reassembly"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = "#things"

    def __init__(self, session: Session, go_to: GoTo) -> None:
        super().__init__(session, go_to)
        self._due: tuple[StrippedLayer, ...] = ()
        self._at = 0

    def compose(self) -> ComposeResult:
        """Case line, layer, what goes back, what to look at, keys."""
        yield Static(id="case")
        yield Static(id="layer")
        with Horizontal(id="together"):
            yield OptionList(id="things")
            with VerticalScroll(id="told", can_focus=False):
                yield Static(id="looks")
        yield KeyBar(self.PLACE, self.offers)

    def on_mount(self) -> None:
        """Begin with the deepest layer."""
        self.show(self.session.snapshot)

    def show(self, snapshot: Snapshot) -> None:
        """Draw the layer at hand."""
        here = self._layer
        self._due = reassembly_order(stripped(snapshot.book, snapshot.state))
        ids = [layer.id for layer in self._due]
        self._at = ids.index(here.id) if here and here.id in ids else 0
        self.query_one("#case", Static).update(case_line(snapshot))
        self._draw()

    def offers(self, action: str) -> bool:
        """Nothing is put back that is back, and only what is open is closed."""
        layer, thing = self._layer, self._thing
        match action:
            case "put" | "count" | "new" | "left_out":
                return thing is not None and thing.left > 0
            case "close":
                return layer is not None and layer.is_open
            case "layer":
                return len(self._due) > 1
        return super().offers(action)

    def action_put(self) -> None:
        """All of the marked things are back."""
        self.start(self._account, "back", 0)

    def action_count(self, key: str) -> None:
        """So many of the marked things are back."""
        self.start(self._account, "back", int(key))

    def action_new(self) -> None:
        """New ones are in their place."""
        self.start(self._account, "new", 0)

    def action_left_out(self) -> None:
        """They are left out on purpose."""
        self.start(self._account, "left_out", 0)

    def action_layer(self, way: int) -> None:
        """Go to another layer."""
        self._at = (self._at + way) % len(self._due)
        self._draw()

    def action_close(self) -> None:
        """Close the layer."""
        self.start(self._close)

    @on(OptionList.OptionSelected)
    def put_selected(self) -> None:
        """Enter puts back."""
        if self.offers("put"):
            self.action_put()

    @on(OptionList.OptionHighlighted)
    def show_offers(self) -> None:
        """What can be done with the marked thing."""
        self.refresh_keys()

    @property
    def _layer(self) -> StrippedLayer | None:
        return self._due[self._at] if self._due else None

    @property
    def _things(self) -> tuple[Loose, ...]:
        """What came off the layer, the last one first."""
        return self._layer.things[::-1] if self._layer else ()

    @property
    def _thing(self) -> Loose | None:
        at = self.query_one("#things", OptionList).highlighted
        return self._things[at] if at is not None and at < len(self._things) else None

    def _draw(self) -> None:
        layer, snapshot = self._layer, self.session.snapshot
        title = Text(CLOSED, LABEL)
        looks: RenderableType = ""
        if layer is not None:
            left = sum(thing.left for thing in layer.things)
            state = "open" if layer.is_open else "closed"
            count = f"  {self._at + 1} of {len(self._due)}" if len(self._due) > 1 else ""
            told = f"{layer_name(layer.id).capitalize()}: {state}, {left} still loose"
            title = Text.assemble((told, LABEL), count)
            here = in_here_part(snapshot, layer.id)
            looks = spaced([looks_part(snapshot, layer), *([here] if here else [])])
        self.query_one("#layer", Static).update(title)
        self.query_one("#looks", Static).update(looks)
        listed = self.query_one("#things", OptionList)
        listed.clear_options()
        listed.add_options(Option(_row(thing)) for thing in self._things)
        first = next((n for n, thing in enumerate(self._things) if thing.left), 0)
        listed.highlighted = first if self._things else None
        self.refresh_keys()

    async def _account(self, how: Return, count: int) -> None:
        thing = self._thing
        if thing is not None:
            some = min(count or thing.left, thing.left)
            await self.take(lambda: put_back(self.session, thing.number, some, how))

    async def _close(self) -> None:
        if self._layer is not None:
            await self.close_layer(self._layer.id)


def _row(thing: Loose) -> RenderableType:
    mark = "[ ]" if thing.left else "[x]"
    return keyed([(mark, Text(str(thing.number)) + Text("  ") + thing_line(thing))])
