"""What SQLite reports, told for the person at the bench."""

from __future__ import annotations

from collections.abc import Mapping

_TORN = (
    "This is no case store, or a damaged one.",
    "Name another file for the store; don't delete this one: a copy of it may be mended.",
)
_NO_WAY = (
    "The case store can't be opened or made here.",
    "Name a file in a folder that you may write to.",
)
_LOST_DISK = (
    "The disk did not take what was written. What was told before is kept.",
    "See that the disk is there, is sound and has room, then repeat the step.",
)

_TROUBLES: Mapping[str, tuple[str, str]] = {
    "SQLITE_NOTADB": _TORN,
    "SQLITE_CORRUPT": _TORN,
    "SQLITE_CANTOPEN": _NO_WAY,
    "SQLITE_PERM": _NO_WAY,
    "SQLITE_AUTH": _NO_WAY,
    "SQLITE_READONLY": (
        "The case store may be read but not written.",
        "Allow writing to the file and its folder, or name another file for the store.",
    ),
    "SQLITE_FULL": (
        "The disk is full. What was told before is kept.",
        "Make room on the disk, then repeat the step.",
    ),
    "SQLITE_IOERR": _LOST_DISK,
    "SQLITE_BUSY": (
        "Another program holds the case store.",
        "Close the other window, or wait until it has finished; then repeat the step.",
    ),
    "SQLITE_LOCKED": (
        "Another program holds the case store.",
        "Close the other window, or wait until it has finished; then repeat the step.",
    ),
}


def explain(error_name: str, message: str) -> tuple[str, str]:
    """What was found and what to do, for the name that SQLite gives an error.

    Extended names begin with their family's (`SQLITE_IOERR_WRITE`).
    """
    for family, told in _TROUBLES.items():
        if error_name.startswith(family):
            return told
    return (f"The case store can't be used: {message}.", "Name another file for the store.")


def torn(detail: str) -> tuple[str, str]:
    """The same for a file whose inner order was found broken."""
    found, do = _TORN
    return f"{found} ({detail})", do
