"""Strip-down: the layers as a tree, and what comes off them, told in a few keys."""

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

from diag.cases.taken_apart import MOST
from diag.session.taken_apart import empty_tray, open_minutes, say_anew, take_off, tray_at
from diag.trail.loose import Loose, StrippedLayer, stripped
from diag.trail.loose_words import taken_words, thing_words
from screens.actions import bindings
from screens.apart_screen import ApartScreen, GoTo
from screens.bench_side import case_line
from screens.dialogs.choose import Choose, Item
from screens.dialogs.line import LineDialog
from screens.export_labels import export_labels
from screens.loose_side import in_here_part, layer_part, loose_part
from screens.opening import open_layer
from screens.parts import PartsScreen
from screens.reassembly import ReassemblyScreen
from screens.sheets import layer_name
from screens.typed_thing import KINDS, hint_of, thing_of, typed_of
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import LABEL, QUIET, spaced

if TYPE_CHECKING:
    from diag.session.session import Session
    from diag.session.snapshot import Snapshot


class StripDownScreen(ApartScreen):
    """The layers of a deck and what was taken off each.

    Args:
        session: the case.
        go_to: puts a step on the bench; this screen is left then.
    """

    CSS_PATH = "strip_down.tcss"
    PLACE = "strip_down"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = "#layers"

    def __init__(self, session: Session, go_to: GoTo) -> None:
        super().__init__(session, go_to)
        self._layers: tuple[StrippedLayer, ...] = ()
        self._tray: int | None = None

    def compose(self) -> ComposeResult:
        """Case line, minutes, layers beside what was taken off, kinds of things, keys."""
        yield Static(id="case")
        yield Static(id="minutes")
        with Horizontal(id="apart"):
            yield OptionList(id="layers")
            with VerticalScroll(id="told", can_focus=False):
                yield Static(id="things")
        yield Static(id="kinds")
        yield KeyBar(self.PLACE, self.offers)

    def on_mount(self) -> None:
        """Begin at the deepest layer that is open."""
        self.show(self.session.snapshot)
        at = [n for n, layer in enumerate(self._layers) if layer.is_open]
        self.query_one("#layers", OptionList).highlighted = at[-1] if at else 0

    def on_screen_resume(self) -> None:
        """Reassembly or a part may have gone on with the case."""
        self.show(self.session.snapshot)

    def show(self, snapshot: Snapshot) -> None:
        """Draw the layers of a case."""
        self._layers = stripped(snapshot.book, snapshot.state)
        self.query_one("#case", Static).update(case_line(snapshot))
        minutes = open_minutes(snapshot.book, snapshot.state)
        told = f"Opening so far {minutes.spent:g} min, closing takes {minutes.owed:g} min"
        self.query_one("#minutes", Static).update(Text(told))
        listed = self.query_one("#layers", OptionList)
        at = listed.highlighted
        listed.clear_options()
        listed.add_options(Option(_row(layer)) for layer in self._layers)
        if at is not None:
            listed.highlighted = min(at, listed.option_count - 1)
        self._draw()

    def offers(self, action: str) -> bool:
        """Nothing is corrected where nothing is off, and so on."""
        state, layer = self.session.snapshot.state, self._layer
        match action:
            case "log" | "tray":
                return layer is not None and layer.id in self.session.book.layers
            case "access":
                return layer is not None and layer.depth > 0
            case "correct" | "photo":
                return layer is not None and bool(layer.things)
            case "reassemble" | "labels":
                return bool(state.taken_off or state.open_layers)
        return super().offers(action)

    def action_log(self, key: str) -> None:
        """Say what came off at the marked layer."""
        self.start(self._log, int(key) - 1)

    def action_tray(self, way: int) -> None:
        """Use another tray."""
        self._tray = min(max(self._tray_now + way, 1), MOST)
        self._draw()

    def action_access(self) -> None:
        """Open or close the marked layer."""
        self.start(self._access)

    def action_correct(self) -> None:
        """Say anew what was taken off."""
        self.start(self._correct)

    def action_photo(self) -> None:
        """Name a photograph of what was taken off."""
        self.start(self._photo)

    def action_reassemble(self) -> None:
        """Put the deck together again."""
        self.app.push_screen(ReassemblyScreen(self.session, self.leave_for))

    def action_parts(self) -> None:
        """The parts that the deck needs."""
        self.app.push_screen(PartsScreen(self.session))

    def action_labels(self) -> None:
        """Write labels and list to a file that prints well."""
        self.start(export_labels, self, self.session)

    @on(OptionList.OptionSelected)
    def access_selected(self) -> None:
        """Enter opens or closes."""
        if self.offers("access"):
            self.action_access()

    @on(OptionList.OptionHighlighted)
    def show_layer(self) -> None:
        """Another layer: its own tray, and what was taken off there."""
        self._tray = None
        self._draw()

    @property
    def _layer(self) -> StrippedLayer | None:
        at = self.query_one("#layers", OptionList).highlighted
        return self._layers[at] if at is not None and at < len(self._layers) else None

    @property
    def _tray_now(self) -> int:
        if self._tray is not None:
            return self._tray
        layer = self._layer
        return tray_at(self._layers, layer.id) if layer else empty_tray(self._layers)

    def _draw(self) -> None:
        layer, snapshot = self._layer, self.session.snapshot
        if layer is not None:
            parts: list[RenderableType] = [layer_part(snapshot, layer), loose_part(layer)]
            parts += [part] if (part := in_here_part(snapshot, layer.id)) else []
            self.query_one("#things", Static).update(spaced(parts))
        kinds = "  ".join(f"{number} {what}" for number, what in enumerate(KINDS, start=1))
        tray = Text.assemble((f"Came off, into tray {self._tray_now} (+ -):", LABEL), f"  {kinds}")
        self.query_one("#kinds", Static).update(tray)
        self.refresh_keys()

    async def _log(self, number: int) -> None:
        layer, what, tray = self._layer, KINDS[number], self._tray_now
        if layer is None:
            return
        asked = LineDialog(
            f"{what.capitalize()} at {layer_name(layer.id)}", body=Text(hint_of(what))
        )
        typed = await self.app.push_screen_wait(asked)
        if typed is not None:
            told = thing_of(what, typed, tray)
            self._tray = told["tray"] or self._tray
            await self.take(lambda: take_off(self.session, layer.id, what, **told))

    async def _correct(self) -> None:
        thing = await self._choose_thing("Correct which?")
        if thing is None:
            return
        what = thing.taken.what
        asked = LineDialog(
            f"{what.capitalize()}, label {thing.number}", typed_of(thing.taken), Text(hint_of(what))
        )
        typed = await self.app.push_screen_wait(asked)
        if typed is not None:
            told = thing_of(what, typed, 0)
            await self.take(lambda: say_anew(self.session, thing.number, **told))

    async def _photo(self) -> None:
        thing = await self._choose_thing("A photograph of which?")
        if thing is None:
            return
        body = Text(f"{thing_words(thing.taken)}: the name of the picture's file")
        typed = await self.app.push_screen_wait(LineDialog("Photograph", thing.taken.photo, body))
        if typed is not None:
            await self.take(lambda: say_anew(self.session, thing.number, photo=typed))

    async def _choose_thing(self, title: str) -> Loose | None:
        """One of what was taken off at the marked layer, the last one first."""
        found = {str(t.number): t for t in reversed(self._layer.things if self._layer else ())}
        if len(found) == 1:
            return next(iter(found.values()))
        items = [Item(key, taken_words(thing.taken)) for key, thing in found.items()]
        chosen = await self.app.push_screen_wait(Choose(title, items))
        return found[chosen[0]] if chosen else None

    async def _access(self) -> None:
        layer = self._layer
        if layer is None:
            return
        if not layer.is_open:
            await open_layer(self, layer.id)
            return
        await self.close_layer(layer.id)


def _row(layer: StrippedLayer) -> RenderableType:
    """Open or not, name by depth, and how many things are off."""
    off = sum(thing.taken.count for thing in layer.things)
    left = sum(thing.left for thing in layer.things)
    row = Table.grid(padding=(0, 1), expand=True)
    row.add_column(width=1)
    row.add_column(ratio=1, no_wrap=True, overflow="ellipsis")
    row.add_column(justify="right", no_wrap=True)
    name = Text("  " * layer.depth + layer_name(layer.id), LABEL if layer.is_open else "")
    told = f"{off} off, {left} loose" if off else "open" if layer.is_open else ""
    row.add_row("*" if layer.is_open else " ", name, Text(told, LABEL if left else QUIET))
    return row
