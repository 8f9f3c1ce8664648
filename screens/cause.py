"""One cause: why it stands where it does, what mends it, and what looks like it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from rich.console import Group, RenderableType
from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from diag.model.mentions import Ref
from diag.model.words import chance_in_words
from diag.planning.reasons import minutes_in_words
from diag.session.words import chance_within
from screens.actions import DIGITS, bindings
from screens.engine_screen import EngineScreen
from screens.entry import EntryScreen
from screens.remedy import RemedyScreen
from screens.sheets import layer_name
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import LABEL, QUIET, heading, keyed, labelled, spaced
from screens.widgets.thumbs import thumb_lines

if TYPE_CHECKING:
    from diag.model.remedy import Remedy
    from diag.session.mind import ChangeOfMind
    from diag.session.session import Session
    from diag.session.snapshot import Alike, CauseDetail, Weighed

SPEAKS = 0.5
"""Decibans below which an answer says nothing of the cause."""

_TRYING = "Trying other answers and other figures ..."

UNIT = "The numbers are decibans: 3 double the odds, 10 make them ten times."
ESTIMATED = "They are estimates: too many signs hang together to work each out."


class CauseScreen(EngineScreen):
    """A cause of a case.

    Args:
        session: the case.
        cause: an id that stands in the ranking.
    """

    CSS_PATH = "cause.tcss"
    PLACE = "cause"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = ""

    def __init__(self, session: Session, cause: str) -> None:
        super().__init__()
        self.session = session
        self._cause = cause
        self._ways: list[tuple[str, str]] = []

    def compose(self) -> ComposeResult:
        """Why on the left, where to go from here on the right."""
        yield Static(id="case")
        with Horizontal():
            with VerticalScroll(id="why", can_focus=False):
                yield Static("Weighing the answers ...", id="told")
                yield Static(id="mind")
                yield Static(id="thumbs")
            with Vertical(id="side"):
                yield Static(heading("Remedies, then look-alikes"), id="side-title")
                ways = OptionList(id="ways")
                ways.can_focus = False
                yield ways
        yield KeyBar(self.PLACE, self.offers, lines=1)

    def on_mount(self) -> None:
        """Weigh the answers off the drawing thread."""
        says = self.session.book.causes[self._cause].says
        self.query_one("#case", Static).update(Text(says, LABEL))
        self.start(self._weigh)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Every key works while reasons are worked out: none of them changes the case."""
        return True

    def action_page(self, way: int) -> None:
        """Scroll the reasons."""
        why = self.query_one("#why", VerticalScroll)
        why.scroll_relative(y=way * max(1, why.size.height - 2), animate=False)

    def action_mark(self, way: int) -> None:
        """Move the mark over remedies and look-alikes."""
        ways = self.query_one(OptionList)
        if ways.option_count:
            at = -1 if ways.highlighted is None else ways.highlighted
            ways.highlighted = min(max(at + way, 0), ways.option_count - 1)

    def action_remedy(self, key: str) -> None:
        """Go to the numbered remedy or look-alike."""
        if int(key) <= len(self._ways):
            self._go(int(key) - 1)

    def action_pick(self) -> None:
        """Go to the marked one."""
        at = self.query_one(OptionList).highlighted
        if at is not None:
            self._go(at)

    def action_book(self) -> None:
        """Read all that the book says of this cause."""
        self.app.push_screen(EntryScreen(self.session.pages, Ref("causes", self._cause)))

    def action_back(self) -> None:
        """Back to where this was opened."""
        self.dismiss()

    @on(OptionList.OptionSelected)
    def follow(self, event: OptionList.OptionSelected) -> None:
        """Go to the one that was clicked."""
        self._go(event.option_index)

    def _go(self, at: int) -> None:
        kind, name = self._ways[at]
        if kind == "remedy":
            self.app.push_screen(RemedyScreen(self.session, name))
        else:
            self.app.push_screen(CauseScreen(self.session, name))

    async def _weigh(self) -> None:
        """Draw the reasons at once, and what would change them when it is worked out."""
        detail = await self.ask(lambda: self.session.cause(self._cause))
        if detail is None:
            self.dismiss()
            return
        self.query_one("#told", Static).update(told(detail))
        if detail.thumbs:
            thumbs = Group(heading("Rules of thumb"), thumb_lines(detail.thumbs))
            self.query_one("#thumbs", Static).update(thumbs)
        self._offer(detail)
        self.query_one("#mind", Static).update(_TRYING)
        mind = await self.ask(lambda: self.session.change_of_mind(self._cause))
        self.query_one("#mind", Static).update(change_of_mind(mind) if mind else "")

    def _offer(self, detail: CauseDetail) -> None:
        """List where to go from here."""
        ways = self.query_one(OptionList)
        rows = [*map(_remedy_row, detail.remedies), *map(_alike_row, detail.alike)]
        self._ways = [
            *(("remedy", remedy.id) for remedy in detail.remedies),
            *(("cause", alike.cause.id) for alike in detail.alike),
        ]
        keys = [*DIGITS, *(" " for _ in rows)]
        ways.add_options(Option(keyed([pair])) for pair in zip(keys, rows, strict=False))


def told(detail: CauseDetail) -> RenderableType:
    """What speaks for a cause and against it, in words."""
    cause = detail.cause
    now = chance_within(detail.probability, detail.bounds)
    start = chance_in_words(detail.prior)
    head = [Text(f"{now} now; {start} for such a deck before any answer.", LABEL)]
    if cause.part:
        head.append(labelled("Part", cause.part))
    if cause.how:
        head.append(Text(cause.how))
    head += [
        Text(f"Raised {factor:g} times by: {fact.replace('_', ' ')}")
        for fact, factor in detail.raised.items()
    ]
    parts: list[RenderableType] = [Group(*head)]
    speaks = [w for w in detail.weighed if abs(w.decibans) >= SPEAKS]
    parts.append(_evidence("Speaks for it", [w for w in speaks if w.decibans > 0]))
    parts.append(_evidence("Speaks against it", [w for w in speaks if w.decibans < 0]))
    if speaks:
        parts.append(Text(f"{UNIT} {ESTIMATED}" if detail.is_estimate else UNIT, QUIET))
    if silent := len(detail.weighed) - len(speaks):
        parts.append(Text(f"{silent} more answer(s) say nothing of it.", QUIET))
    return spaced(parts)


def change_of_mind(mind: ChangeOfMind) -> RenderableType:
    """What would change the place of a cause: answers to come, and figures of the book."""
    parts = (("Answers that would change this", mind.answers), ("Figures of the book", mind.shares))
    return spaced([Group(heading(title), keyed(_listed(lines))) for title, lines in parts])


def _listed(lines: Sequence[str]) -> list[tuple[str, RenderableType]]:
    return [("-", Text(line)) for line in lines]


def _evidence(title: str, weighed: list[Weighed]) -> RenderableType:
    rows = [(_decibans(w.decibans), Text.assemble(w.says, (f" {w.words}", QUIET))) for w in weighed]
    return Group(heading(title), keyed(rows, width=4) if rows else Text("nothing so far", QUIET))


def _decibans(value: float) -> str:
    """Signed and whole; an answer that settles the matter has no finite weight."""
    if abs(value) == float("inf"):
        return "all"
    return f"{value:+.0f}"


def _remedy_row(remedy: Remedy) -> RenderableType:
    detail = (
        f"{minutes_in_words(remedy.minutes)} at {layer_name(remedy.at)}, cures {remedy.cures:.0%}"
    )
    return Group(Text(remedy.says), Text(detail.replace("%", " %"), QUIET))


def _alike_row(alike: Alike) -> RenderableType:
    detail = f"looks like it, {chance_within(alike.probability, alike.bounds)}"
    return Group(Text(alike.cause.says), Text(detail, QUIET))
