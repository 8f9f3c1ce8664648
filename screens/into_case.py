"""A result of the workshop put into a case: what it would say there, what of it counts, dangers."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING

from rich.console import Group, RenderableType
from rich.text import Text

from screens.dialogs.choose import Choose, Item
from screens.dialogs.confirm import Confirm
from screens.widgets.lines import LABEL, QUIET, caution_lines, heading, keyed, spaced

if TYPE_CHECKING:
    from diag.session.session import Session
    from diag.session.worked import Meaning
    from diag.workshop.told import Renewed, Told
    from screens.engine_screen import EngineScreen

TITLE = "Into the case goes a note. Mark what else it says of this deck"


def found_for(
    session: Session | None, told: Sequence[Told], renewed: Sequence[Renewed] = ()
) -> tuple[Meaning, ...]:
    """What a result can say to a case; nothing without one."""
    if session is None or not (told or renewed):
        return ()
    from diag.session.worked import meanings

    return meanings(session.snapshot, told, renewed)


def case_part(
    session: Session | None, found: Sequence[Meaning], renewed: Sequence[Renewed] = ()
) -> list[RenderableType]:
    """What a result would say, below the result itself, and what the book can make nothing of."""
    if session is None:
        return []
    from diag.session.worked import remarks_on

    if any(each.of for each in found):
        return [Text("F4 asks which of them is in the deck, and puts it into the case.", LABEL)]
    rows = [("-", Group(Text(each.says), Text(each.detail, QUIET))) for each in found]
    remarks = [("!", Text(remark)) for remark in remarks_on(session.snapshot, renewed)]
    told = [Group(heading("F4 asks which of these goes into the case"), keyed(rows))]
    return [*(told if found else []), *([keyed(remarks)] if remarks else [])]


async def put_into_case(
    screen: EngineScreen, session: Session, note: str, found: Sequence[Meaning]
) -> bool:
    """Write a note and what a person marks of a result, and say so; False if they went back."""
    from diag.session.worked import put_down

    taken = await _marked(screen, found) if found else ()
    if taken is None or not await _read_dangers(screen, session, taken):
        return False
    if await screen.ask(lambda: put_down(session, note, taken)) is None:
        return False
    told = "\n".join(("Noted in the case.", *(each.says for each in taken)))
    screen.app.notify(told, markup=False, timeout=4)
    return True


async def _marked(screen: EngineScreen, found: Sequence[Meaning]) -> tuple[Meaning, ...] | None:
    items = [Item(str(n), each.says, each.detail) for n, each in enumerate(found)]
    chosen = await screen.app.push_screen_wait(Choose(TITLE, items, many=True))
    return None if chosen is None else tuple(found[int(n)] for n in sorted(chosen, key=int))


async def _read_dangers(screen: EngineScreen, session: Session, taken: Sequence[Meaning]) -> bool:
    """Have every danger of what is put down read that was not read yet; False if they went back."""
    steps = [each for each in taken if each.kind != "facts"]
    unread = [(c, each.id) for each in steps for c in session.step_view(each.kind, each.id).unread]
    if not unread:
        return True
    cautions = {caution.id: caution for caution, _ in unread}.values()
    body = spaced([caution_lines(caution) for caution in cautions])
    asked = Confirm("Dangers of this work", body, "read and heeded", "back, write nothing")
    if not await screen.app.push_screen_wait(asked):
        return False
    for caution, step in unread:
        if await screen.ask(partial(session.acknowledge, caution.id, step)) is None:
            return False
    return True
