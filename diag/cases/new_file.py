"""A new file, written whole or not at all, and never over another."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from secrets import token_hex

from diag.cases.text import visible
from diag.errors import ExportError


def write_new_file(path: Path, data: bytes, what: str) -> None:
    """Make a file that was not there before; it is on disk when this returns.

    Args:
        path: the file to make.
        data: all that it is to hold.
        what: how the file is called in a message (`case file`).

    Raises:
        ExportError: there is such a file, or it can't be written.
    """
    where = visible(str(path))
    try:
        with _whole(path, data) as ready:
            _claim(ready, path)
    except FileExistsError as error:
        raise _taken(path) from error
    except (OSError, ValueError) as error:
        raise ExportError(
            f"The {what} can't be written: {reason(error)}.",
            where=where,
            do="Choose another folder, or make room there.",
        ) from error


def check_is_new(path: Path) -> None:
    """Refuse a name that is taken, before the work that the file is to hold.

    Raises:
        ExportError: there is such a file.
    """
    if path.exists() or path.is_symlink():
        raise _taken(path)


def _taken(path: Path) -> ExportError:
    return ExportError(
        "There is a file of this name.", where=visible(str(path)), do="Choose another name."
    )


@contextmanager
def _whole(path: Path, data: bytes) -> Iterator[Path]:
    """A file beside `path` that holds all the data; gone when this is left."""
    if path.exists() or path.is_symlink():
        raise FileExistsError(path)
    ready = path.with_name(f".{token_hex(8)}.part")
    try:
        with ready.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        yield ready
    finally:
        ready.unlink(missing_ok=True)


def _claim(ready: Path, path: Path) -> None:
    """Give the file its name, unless another has taken it meanwhile."""
    try:
        os.link(ready, path)
    except FileExistsError:
        raise
    except OSError:  # many memory sticks know no links; there the name is taken first
        path.open("xb").close()
        ready.replace(path)


def reason(error: OSError | ValueError) -> str:
    """Why a file could not be read or written, in words."""
    if isinstance(error, OSError):
        return str(error.strerror)
    # Besides text in another encoding, only a zero byte in the file's name gets this far.
    return "it is no UTF-8 text" if isinstance(error, UnicodeError) else "no file has such a name"
