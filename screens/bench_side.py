"""What stands around the card on the bench: the case, other steps, what was noted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from diag.planning.reasons import minutes_in_words
from screens.choices import layer_items
from screens.noted import Remark
from screens.open_deck import in_here
from screens.sheets import layer_name, offer_says
from screens.widgets.lines import LABEL, QUIET, heading, keyed, spaced

if TYPE_CHECKING:
    from collections.abc import Sequence

    from diag.session.snapshot import Snapshot

MOST_OTHERS = 6


def case_line(snapshot: Snapshot) -> RenderableType:
    """Two lines: deck and minutes, complaints and open layers."""
    state, book = snapshot.state, snapshot.book
    told = [
        book.symptoms[name].says if name in book.symptoms else name
        for name in state.history.symptoms
    ]
    spent = f"{minutes_in_words(snapshot.minutes)} spent" if snapshot.minutes else "just begun"
    layers = ", ".join(layer_name(name) for name in state.open_layers)
    table = Table.grid(padding=(0, 1), expand=True)
    table.add_column(ratio=1, no_wrap=True, overflow="ellipsis")
    table.add_column(justify="right", no_wrap=True)
    table.add_row(Text(state.name, LABEL), Text(spent))
    complaint = Text("; ".join(told) or "no complaint told")
    table.add_row(complaint, Text(f"open: {layers}" if layers else "deck closed"))
    return table


def other_steps(snapshot: Snapshot, at_hand: str) -> RenderableType:
    """The best steps besides the one at hand."""
    steps = snapshot.assessment.steps if snapshot.assessment else ()
    rest = [step for step in steps if step.id != at_hand][:MOST_OTHERS]
    rows = [
        (
            f"{step.all_minutes:>3.0f} min",
            Text(offer_says(snapshot.book, step.kind, step.id)),
        )
        for step in rest
    ]
    title = heading("Other steps, in all minutes (a)")
    return Group(title, keyed(rows) if rows else Text("none", QUIET))


def in_here_lines(snapshot: Snapshot, at_hand: str) -> RenderableType | None:
    """What else is worth doing at the open layers, a line each; None if nothing is."""
    rows: list[tuple[str, RenderableType]] = []
    for step in in_here(snapshot, at_hand):
        says = offer_says(snapshot.book, step.kind, step.id)
        line = Text(says, no_wrap=True, overflow="ellipsis")
        rows.append((f"{step.minutes:>2.0f} min", line))
    if not rows:
        return None
    title = Text.assemble(heading("While you are in here (h)"), f" {len(rows)}")
    return Group(title, keyed(rows[:MOST_OTHERS]))


def layer_lines(snapshot: Snapshot) -> RenderableType:
    """Every layer, indented by depth: open or closed, and the minutes to change that."""
    rows: list[tuple[str, RenderableType]] = []
    for item in layer_items(snapshot):
        is_open = item.id in snapshot.state.open_layers
        rows.append(("*" if is_open else " ", Text(item.says, LABEL if is_open else QUIET)))
    return Group(heading("Layers (l)"), keyed(rows))


def remarks_in_short(found: Sequence[Remark]) -> Text:
    """One line: how many there are, and the first, which is what does not fit together."""
    line = Text.assemble((f"Noted (v), {len(found)}: {found[0].mark} ", LABEL), found[0].says)
    line.no_wrap, line.overflow = True, "ellipsis"
    return line


def remarks_in_full(found: Sequence[Remark]) -> RenderableType:
    """Everything, each with what stands behind it."""
    if not found:
        return Text("Nothing yet.", QUIET)
    return spaced(
        [
            keyed([(r.mark, Group(Text(r.says), Text(f"({r.because})", QUIET)))])
            if r.because
            else keyed([(r.mark, Text(r.says))])
            for r in found
        ]
    )
