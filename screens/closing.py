"""Closing a layer: what the person sees and chooses first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.console import Group, RenderableType
from rich.text import Text

from diag.model.words import layer_says
from diag.planning.access import closing_order
from diag.trail.loose import stripped
from diag.trail.loose_words import looks_before_closing, unaccounted
from screens.choices import step_id, step_of
from screens.dialogs.choose import Item
from screens.dialogs.closing import CLOSE, Closing
from screens.dialogs.confirm import Confirm
from screens.open_deck import reason_before_closing, unseen_in_words
from screens.sheets import Kind, offer_says
from screens.widgets.lines import LABEL, keyed

if TYPE_CHECKING:
    from diag.planning.before_closing import BeforeClosing
    from diag.session.snapshot import Snapshot
    from screens.case_screen import CaseScreen


async def ask_closing(screen: CaseScreen, layer: str) -> tuple[Kind, str] | bool:
    """Whether a layer is closed, with those under it; or the step to go to before."""
    snapshot = screen.session.snapshot
    found = snapshot.assessment
    told = await screen.ask(lambda: found.before_closing(layer)) if found else None
    body = _body(snapshot, layer, told)
    left = _left(snapshot, layer)
    if told is None or not told.first:
        asked = Confirm(f"Close now?{left}", body, "seen, and it is closed", "not now")
        return await screen.app.push_screen_wait(asked)
    items = [
        Item(
            step_id(step.kind, step.id),
            offer_says(snapshot.book, step.kind, step.id),
            reason_before_closing(snapshot, step),
        )
        for step in told.first
    ]
    chosen = await screen.app.push_screen_wait(Closing(f"Before you close{left}", items, body))
    if not chosen:
        return False
    return chosen == (CLOSE,) or step_of(chosen[0])


def _body(snapshot: Snapshot, layer: str, told: BeforeClosing | None) -> RenderableType:
    """What to look at before each layer that closes, and what no look in there shows."""
    book, state = snapshot.book, snapshot.state
    off = {each.id: each.things for each in stripped(book, state)}
    parts: list[RenderableType] = []
    for name in closing_order(book, state.open_layers):
        if layer in (*book.ways[name], book.outside):
            lines = [*unaccounted(off[name]), *looks_before_closing(off[name])]
            says, looks = layer_says(book, name), book.layers[name].before_closing
            parts.append(_looks(says, [*lines, *looks]))
    if unseen := unseen_in_words(snapshot, told):
        parts.append(Text(unseen))
    return Group(*parts)


def _left(snapshot: Snapshot, layer: str) -> str:
    """How many things are still off, for the title; empty if none is."""
    book, state = snapshot.book, snapshot.state
    left = sum(
        thing.left
        for each in stripped(book, state)
        if each.is_open and layer in (*book.ways[each.id], book.outside)
        for thing in each.things
    )
    return f"   {left} still loose" if left else ""


def _looks(says: str, lines: Sequence[str]) -> RenderableType:
    rows = [("-", Text(line)) for line in lines] or [("-", Text("Nothing is left inside."))]
    return Group(Text(f"{says}: before it is closed", LABEL), keyed(rows))
