"""Which keys of the bench make sense now."""

from __future__ import annotations

from typing import TYPE_CHECKING

from screens.noted import doubted_checks
from screens.open_deck import in_here

if TYPE_CHECKING:
    from diag.session.snapshot import Snapshot
    from screens.sheets import Sheet


def offered(snapshot: Snapshot, sheet: Sheet | None, action: str) -> bool:
    """Whether an action makes sense for a case with this step at hand."""
    of_case = _by_case(snapshot, sheet, action)
    return _by_step(sheet, action) if of_case is None else of_case


def _by_case(snapshot: Snapshot, sheet: Sheet | None, action: str) -> bool | None:
    """The same for what hangs on the case; None for all else."""
    match action:
        case "again":
            return bool(doubted_checks(snapshot))
        case "in_here":
            return bool(in_here(snapshot, sheet.id if sheet else ""))
        case "undo":
            return snapshot.state.to_undo is not None
        case "redo":
            return snapshot.state.to_redo is not None
    return None


def _by_step(sheet: Sheet | None, action: str) -> bool:
    """The same for what hangs on the step at hand: none of it works before its dangers are read."""
    hidden = sheet is None or bool(sheet.unread)
    asks = not hidden and sheet is not None and sheet.kind == "check"
    unread = sheet is not None and bool(sheet.unread)
    match action:
        case "read":
            return unread
        case "access":
            return not hidden and sheet is not None and bool(sheet.opens or sheet.closes)
        case "digit" | "enter" | "mark":
            return sheet is not None  # before a danger is read the card says what it waits for
        case "zero":
            return asks or unread
        case "sure" | "cant_tell":
            return asks
        case "type":
            return asks and sheet is not None and sheet.unit is not None
        case "recording":
            return asks and sheet is not None and bool(sheet.recording)
        case "skip":
            return sheet is not None
        case "cautions":
            return not hidden and sheet is not None and bool(sheet.cautions)
    return True
