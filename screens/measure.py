"""Figures and curves of recordings, before and after the repair."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, ClassVar

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Static

from diag.session.held_against import hold_against
from diag.session.measured import kind_says
from diag.trail.before_after import Compared, CurvePair, before_and_after
from diag.trail.judged import Judged
from diag.trail.lists import JUDGED_HEADS, figure_cells, judged_cells, recordings_of
from screens.actions import bindings
from screens.bench_side import case_line
from screens.case_screen import CaseScreen
from screens.dialogs.choose import Choose, Item
from screens.export import export_trail
from screens.heard import take_all
from screens.recording import choose_kind, hear_recording
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import LABEL, QUIET, heading, labelled, spaced
from screens.widgets.plot import Plot

if TYPE_CHECKING:
    from diag.session.session import Session
    from diag.session.snapshot import Snapshot

EMPTY = (
    "No recording was measured yet.",
    "Play a test tape into the line input of a sound card, and record it as a WAV or FLAC file,"
    " 48000 Hz, peaks 6 to 12 dB below full scale, nothing that changes the sound switched on.",
    "p measures it. Record once as the deck came and again when it is mended; the two stand here"
    " side by side.",
)
BOTH = "before: dotted, after: solid"
JUDGED_SHARES = (2, 3, 3, 2)
"""Widths of what was wanted, before, after and the margin, which fit 80 columns."""


class MeasureScreen(CaseScreen):
    """One kind of measurement at a time: its figures, what was remarked, and a curve.

    Behind the last kind stands what all figures come to against a specification.
    """

    CSS_PATH = "measure.tcss"
    PLACE = "measure"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = ""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._kinds: tuple[Compared, ...] = ()
        self._judged: Judged | None = None
        self._at = 0
        self._curve = 0

    def compose(self) -> ComposeResult:
        """Case line, which measurement, its figures, its curve, keys."""
        yield Static(id="case")
        yield Static(id="kind")
        with Horizontal(id="found"):
            with VerticalScroll(id="told", can_focus=False):
                yield Static(id="figures")
            with Vertical(id="curve"):
                yield Static(id="curve-title")
                yield Plot(id="drawn")
        yield KeyBar(self.PLACE, self.offers, lines=1)

    def on_mount(self) -> None:
        """Show what there is."""
        self.show(self.session.snapshot)

    def show(self, snapshot: Snapshot) -> None:
        """Draw the figures of a case."""
        self._kinds = before_and_after(snapshot.state)
        self._judged = self.session.judged
        self._at = min(self._at, max(self._pages - 1, 0))
        self.query_one("#case", Static).update(case_line(snapshot))
        self._draw()

    def offers(self, action: str) -> bool:
        """Other kinds and curves only where there are some."""
        state = self.session.snapshot.state
        match action:
            case "kind":
                return self._pages > 1
            case "curve":
                return len(self._pairs) > 1
            case "undo":
                return state.to_undo is not None
            case "redo":
                return state.to_redo is not None
        return True

    def action_kind(self, way: int) -> None:
        """Go to another kind of measurement."""
        self._at = (self._at + way) % self._pages
        self._curve = 0
        self._draw()

    def action_curve(self) -> None:
        """Show the next curve."""
        self._curve = (self._curve + 1) % len(self._pairs)
        self._draw_curve()

    def action_recording(self) -> None:
        """Measure a recording."""
        self.start(self._measure)

    def action_specification(self) -> None:
        """Choose what the figures are held against."""
        self.start(self._choose_specification)

    def action_undo(self) -> None:
        """Take the last event back."""
        self.start(self._step_back, self.session.undo)

    def action_redo(self) -> None:
        """Bring back what was taken back last."""
        self.start(self._step_back, self.session.redo)

    def action_export(self) -> None:
        """Write the trail to a file."""
        self.start(export_trail, self, self.session)

    def action_page(self, way: int) -> None:
        """Scroll the figures."""
        told = self.query_one("#told", VerticalScroll)
        told.scroll_relative(y=way * max(1, told.size.height - 2), animate=False)

    def action_back(self) -> None:
        """Back to the bench."""
        self.dismiss()

    @property
    def _pages(self) -> int:
        return len(self._kinds) + (self._judged is not None)

    @property
    def _shown(self) -> Compared | None:
        return self._kinds[self._at] if self._at < len(self._kinds) else None

    @property
    def _pairs(self) -> tuple[CurvePair, ...]:
        return self._shown.curves if self._shown else ()

    def _draw(self) -> None:
        kind, figures = self.query_one("#kind", Static), self.query_one("#figures", Static)
        count = f"  {self._at + 1} of {self._pages}" if self._pages > 1 else ""
        if self._shown:
            kind.update(Text.assemble((kind_says(self._shown.what), LABEL), count))
            figures.update(_told(self._shown))
        elif self._judged:
            kind.update(Text.assemble((f"Against: {self._judged.says}", LABEL), count))
            figures.update(_verdicts(self._judged))
        else:
            kind.update(Text("Recordings", LABEL))
            figures.update(spaced([Text(line) for line in EMPTY]))
        self._draw_curve()
        self.refresh_keys()

    def _draw_curve(self) -> None:
        pairs = self._pairs
        self.query_one("#curve").display = bool(pairs)
        self.set_class(not pairs, "-no-curve")
        if not pairs:
            return
        self._curve = min(self._curve, len(pairs) - 1)
        pair = pairs[self._curve]
        legend = BOTH if len(pair.curves) > 1 else "before" if pair.before else "after"
        count = f"  {self._curve + 1} of {len(pairs)} (c)" if len(pairs) > 1 else ""
        title = Text.assemble((pair.title, LABEL), count, (f"  {legend}", QUIET))
        self.query_one("#curve-title", Static).update(title)
        self.query_one(Plot).show(pair)

    async def _choose_specification(self) -> None:
        found = await self.ask(lambda: self.engine.shelf().specifications())
        if not found:
            return
        items = [Item(each.id, each.says, f"source: {each.source}") for each in found]
        chosen = await self.app.push_screen_wait(Choose("Hold the figures against", items))
        if chosen:
            specification = next(each for each in found if each.id == chosen[0])
            self._at = len(self._kinds)
            await self.take(lambda: hold_against(self.session, specification))

    async def _step_back(self, call: Callable[[], Snapshot]) -> None:
        await self.take(call)

    async def _measure(self) -> None:
        what = await choose_kind(self)
        taken = await hear_recording(self, self.session, what) if what else None
        if taken is None or not await self.take(lambda: take_all(self.session, *taken)):
            return
        first = next((heard.what for heard in taken[0].heard), "")
        kinds = [kind.what for kind in self._kinds]
        self._at = kinds.index(first) if first in kinds else 0
        self._draw()


def _verdicts(judged: Judged) -> RenderableType:
    """Each limit with what was measured before and after, then what was not measured."""
    parts: list[RenderableType] = [Text(judged.note)] if judged.note else []
    if judged.rows:
        limits = [Group(Text(row.says, LABEL), _cells(judged_cells(row))) for row in judged.rows]
        parts.append(Group(_cells(JUDGED_HEADS, QUIET), *limits))
    parts += [Text(judged.trouble)] if judged.trouble else []
    parts += [labelled("Not measured", "; ".join(judged.missing))] if judged.missing else []
    return spaced([*parts, labelled("Source", judged.source)])


def _cells(cells: Iterable[str], style: str = "") -> Table:
    """One row, as wide as every other."""
    table = Table.grid(padding=(0, 2, 0, 0), expand=True)
    for share in JUDGED_SHARES:
        table.add_column(ratio=share, overflow="fold")
    table.add_row(*(Text(cell or "-", style) for cell in cells))
    return table


def _told(shown: Compared) -> RenderableType:
    """The table of figures, then each recording with what was remarked of it."""
    table = Table.grid(padding=(0, 2, 0, 0), expand=True)
    table.add_column(ratio=1, overflow="fold")
    table.add_column(no_wrap=True)
    table.add_column(no_wrap=True)
    table.add_row("", heading("Before"), heading("After"))
    for row in shown.rows:
        before, after = figure_cells(row)
        table.add_row(Text(row.says), Text(before or "-"), Text(after or "-", LABEL))
    recordings = [
        Text.assemble((first, LABEL), *(f"\n{line}" for line in rest))
        for first, *rest in recordings_of(shown)
    ]
    return spaced([table, *recordings])
