"""Closing a layer: what the person sees and chooses first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.console import Group, RenderableType
from rich.text import Text

from diag.planning.access import closing_order
from diag.planning.reasons import not_worth_it
from diag.trail.words import chance_in_words, layer_says
from screens.choices import step_id, step_of
from screens.dialogs.choose import Item
from screens.dialogs.closing import CLOSE, Closing
from screens.dialogs.confirm import Confirm
from screens.sheets import Kind, offer_says
from screens.widgets.lines import LABEL, keyed

if TYPE_CHECKING:
    from diag.planning.before_closing import Before, BeforeClosing
    from diag.session.snapshot import Snapshot
    from screens.case_screen import CaseScreen


async def ask_closing(screen: CaseScreen, layer: str) -> tuple[Kind, str] | bool:
    """Whether a layer is closed, with those under it; or the step to go to before."""
    snapshot = screen.session.snapshot
    found = snapshot.assessment
    told = await screen.ask(lambda: found.before_closing(layer)) if found else None
    body = closing_body(snapshot, layer, told)
    if told is None or not told.first:
        asked = Confirm("Close now?", body, "seen, and it is closed", "not now")
        return await screen.app.push_screen_wait(asked)
    items = [closing_item(snapshot, step) for step in told.first]
    chosen = await screen.app.push_screen_wait(Closing("Before you close", items, body))
    if not chosen:
        return False
    return chosen == (CLOSE,) or step_of(chosen[0])


def closing_item(snapshot: Snapshot, step: Before) -> Item:
    """A step that comes before closing, with its reason."""
    why = step.why if step.is_worth_it else f"{step.why} {not_worth_it()}"
    mends = [snapshot.book.remedies[remedy].says for remedy in step.remedies]
    mended = f" Mended in here by: {'; '.join(mends)}." if mends else ""
    says = offer_says(snapshot.book, step.kind, step.id)
    return Item(step_id(step.kind, step.id), says, f"{why}{mended}")


def closing_body(snapshot: Snapshot, layer: str, told: BeforeClosing | None) -> RenderableType:
    """What to look at before each layer that closes, and what no look in there shows."""
    book = snapshot.book
    parts: list[RenderableType] = [
        _looks(layer_says(book, name), book.layers[name].before_closing)
        for name in closing_order(book, snapshot.state.open_layers)
        if layer in (*book.ways[name], book.outside)
    ]
    if unseen := unseen_in_words(snapshot, told):
        parts.append(Text(unseen))
    return Group(*parts)


def unseen_in_words(snapshot: Snapshot, told: BeforeClosing | None) -> str:
    """What may have been left that no look at the open layers shows; empty if nothing."""
    causes = snapshot.book.causes
    left = [f"{causes[c].says} ({chance_in_words(p)})" for c, p in (told.unseen if told else ())]
    return f"No look in here shows: {'; '.join(left)}. The final test has to." if left else ""


def _looks(says: str, lines: Sequence[str]) -> RenderableType:
    rows = [("-", Text(line)) for line in lines] or [("-", Text("Nothing is left inside."))]
    return Group(Text(f"{says}: before it is closed", LABEL), keyed(rows))
