"""Opening a layer: what the person reads first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.console import RenderableType
from rich.text import Text

from screens.dialogs.confirm import Confirm
from screens.sheets import layer_name
from screens.widgets.lines import LABEL, caution_lines, labelled, spaced

if TYPE_CHECKING:
    from screens.case_screen import CaseScreen


async def open_layer(screen: CaseScreen, layer: str) -> bool:
    """Open a layer and what lies over it, once the person has seen how."""
    book, state = screen.session.book, screen.session.snapshot.state
    way = [name for name in book.ways[layer] if name not in state.open_layers]
    parts: list[RenderableType] = []
    for name in way:
        entry = book.layers[name]
        parts += [caution_lines(book.cautions[caution]) for caution in entry.cautions]
        title = Text.assemble((layer_name(name).capitalize(), LABEL), f": {entry.says}")
        title.append(f" ({entry.open_minutes:g} min to open)")
        parts += [title, *([labelled("How", entry.how)] if entry.how else [])]
    asked = Confirm("Open now?", spaced(parts), "it is open", "not now")
    if not await screen.app.push_screen_wait(asked):
        return False
    return await screen.take(lambda: screen.session.open(layer))
