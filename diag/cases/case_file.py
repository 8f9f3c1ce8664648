"""The portable case file, `.case.json`: the events of one case, for another store."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from diag import __version__
from diag.cases.codec import from_plain, refuse_unknown_keys, to_plain, told_at
from diag.cases.events import Captured, Event
from diag.cases.fold import fold
from diag.cases.held_against import HeldAgainst
from diag.cases.json_text import dump_page, load_json, shown
from diag.cases.new_file import reason, write_new_file
from diag.cases.part_kept import PartKept
from diag.cases.taken_apart import PutBack, TakenOff
from diag.cases.text import visible
from diag.errors import CaseError, ExportError

VERSION = 4
"""Of the format; it rises when an older benchtrail could not read what a newer one writes.

2 came with recordings, 3 with what was taken off a deck and with parts, 4 with what its figures are
held against. A case without them is still written as before, so that an older benchtrail goes on
reading it.
"""
MOST_BYTES = 8 * 1024 * 1024
"""A long case takes some 100 kB."""

_NEEDS: Mapping[type[Event], int] = {
    Captured: 2,
    TakenOff: 3,
    PutBack: 3,
    PartKept: 3,
    HeldAgainst: 4,
}
"""The version that each kind of event came with, if it is not the first."""

# It goes into file names and command lines, so nothing that means something there.
_CASE_ID = re.compile(r"c-[a-z0-9]{1,20}")


@dataclass(frozen=True, slots=True)
class CaseFile:
    """What a case file holds: the id that the case had where it comes from, and its events."""

    case_id: str
    events: tuple[Event, ...]


def read_case_file(path: Path) -> CaseFile:
    """Read and check a whole case file.

    Raises:
        CaseError: it can't be read, is too big, is no case file, is of a newer version, or holds
            an event that is not right; names the file and the event.
    """
    with told_at(visible(path.name)):
        return case_from_text(_read_text(path))


def case_from_text(text: str) -> CaseFile:
    """The case that the text of a case file holds; errors as in `read_case_file`."""
    plain = load_json(text)
    if not isinstance(plain, dict) or "benchtrail_case" not in plain:
        raise CaseError("This is no case file.", do="Choose a file that benchtrail exported.")
    _check_version(plain["benchtrail_case"])
    refuse_unknown_keys(plain, {"benchtrail_case", "exported_with", "id", "events"})
    case_id = plain.get("id", "")
    if case_id != "" and not (isinstance(case_id, str) and _CASE_ID.fullmatch(case_id)):
        raise CaseError(f"The id of the case is {shown(case_id)}.", do="Take the id out.")
    listed = plain.get("events")
    if not isinstance(listed, list):
        raise CaseError("It has no list of events.", do="Export the case again.")
    events: list[Event] = []
    for number, event in enumerate(listed, start=1):
        with told_at(f"event {number}"):
            events.append(from_plain(event))
    fold(events)  # refuses what can't be a case: no intake, strikes of what is not there
    return CaseFile(case_id, tuple(events))


def case_to_text(case: CaseFile) -> str:
    """The text of a case file."""
    return dump_page(
        {
            "benchtrail_case": _version_of(case),
            "exported_with": __version__,
            "id": case.case_id,
            "events": [to_plain(event) for event in case.events],
        }
    )


def _version_of(case: CaseFile) -> int:
    """The lowest version that has all that is in the case."""
    return max(_NEEDS.get(type(event), 1) for event in case.events)


def write_case_file(case: CaseFile, path: Path) -> None:
    """Write a new file, whole and on disk before this returns; an existing one stays as it is.

    Raises:
        ExportError: there is a file of that name already, the place can't be written to, or the
            case is bigger than what can be read again.
    """
    data = case_to_text(case).encode()
    where = visible(str(path))
    if len(data) > MOST_BYTES:
        raise ExportError(f"The case takes more than {MOST_BYTES} bytes.", where=where)
    write_new_file(path, data, "case file")


def _check_version(version: object) -> None:
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise CaseError(
            f"The version of the case file is {shown(version)}.", do="Export the case again."
        )
    if version > VERSION:
        raise CaseError(
            f"The case file has version {version}; this benchtrail reads {VERSION}.",
            do="Update benchtrail.",
        )


def _read_text(path: Path) -> str:
    try:
        if path.exists() and not path.is_file():
            raise CaseError("This is no file.", do="Choose a file that benchtrail exported.")
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
        if len(data) > MOST_BYTES:
            raise CaseError(
                f"It has more than {MOST_BYTES} bytes; no case file has.",
                do="Choose a file that benchtrail exported.",
            )
        return data.decode("utf-8-sig")
    except (OSError, ValueError) as error:
        raise CaseError(
            f"It can't be read: {reason(error)}.", do="Choose a file that benchtrail exported."
        ) from error
