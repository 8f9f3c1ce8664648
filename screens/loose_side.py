"""What stands beside the layers of a deck: what is off there, and what to do while it is open."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.console import Group, RenderableType
from rich.text import Text

from diag.trail.loose import Loose, StrippedLayer
from diag.trail.loose_words import looks_before_closing, taken_words, unaccounted
from screens.choices import in_here_items, step_of
from screens.dialogs.choose import Choose
from screens.open_deck import in_here
from screens.sheets import Kind, layer_name, offer_says
from screens.widgets.lines import LABEL, QUIET, heading, keyed

if TYPE_CHECKING:
    from diag.session.snapshot import Snapshot
    from screens.case_screen import CaseScreen

NOTHING_OFF = "Nothing was told to be off here. A digit says what comes off."


def layer_part(snapshot: Snapshot, layer: StrippedLayer) -> RenderableType:
    """The layer, open or closed, and how to get there."""
    entry = snapshot.book.layers.get(layer.id)
    if entry is None:
        return Text(f"{layer.says}: the book has no such layer any more.")
    state = "open" if layer.is_open else "closed"
    cost = f"{entry.open_minutes:g} min to open, {entry.close_minutes:g} to close"
    told = f": {layer.says}" + (f" ({state}; {cost})" if layer.depth else "")
    return Text.assemble((layer_name(layer.id).capitalize(), LABEL), told)


def loose_part(layer: StrippedLayer) -> RenderableType:
    """What was taken off, the last one first, each with its label and what is left of it."""
    if not layer.things:
        return Text(NOTHING_OFF, QUIET)
    rows = [(str(t.number), thing_line(t)) for t in reversed(layer.things)]
    return Group(heading("Off here, the last one first"), keyed(rows))


def thing_line(thing: Loose) -> Text:
    """What it is, where it lies, and what has become of it."""
    line = Text(taken_words(thing.taken), "" if thing.left else QUIET)
    done = [
        f"{count} {word}"
        for word, count in (
            ("back", thing.returned("back")),
            ("new", thing.returned("new")),
            ("left out", thing.returned("left_out")),
        )
        if count
    ]
    if done:
        left = f", {thing.left} to go" if thing.left else ""
        line.append(f" [{', '.join(done)}{left}]", LABEL)
    return line


def in_here_part(snapshot: Snapshot, layer: str) -> RenderableType | None:
    """What is worth doing while this layer is open; None if nothing is."""
    rows = [
        (f"{step.minutes:.0f} min", Text(offer_says(snapshot.book, step.kind, step.id)))
        for step in in_here(snapshot, "")
        if step.layer == layer
    ]
    return Group(heading("While you are in here (h)"), keyed(rows)) if rows else None


async def choose_in_here(screen: CaseScreen) -> tuple[Kind, str] | None:
    """A step that is worth doing while the deck is open; None if the person goes back."""
    items = in_here_items(screen.session.snapshot, "")
    chosen = await screen.app.push_screen_wait(Choose("While you are in here", items))
    return step_of(chosen[0]) if chosen else None


def looks_part(snapshot: Snapshot, layer: StrippedLayer) -> RenderableType:
    """What is still loose, what was moved, and what the book says before this layer is closed."""
    entry = snapshot.book.layers.get(layer.id)
    lines = [
        *unaccounted(layer.things),
        *looks_before_closing(layer.things),
        *(entry.before_closing if entry else ()),
    ]
    rows = [("-", Text(line)) for line in lines] or [("-", Text("Nothing is left inside."))]
    return Group(heading("Before it is closed"), keyed(rows))
