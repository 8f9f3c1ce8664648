"""Books kept as they were read, so that the next start need not read YAML again.

A kept book counts only if every byte that it came from is the same: all knowledge files, and the
code that reads them. Times of files count for nothing. What can't be trusted or written is passed
over without a word: the book is then read from its files.
"""

from __future__ import annotations

import os
import pickle
import sys
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, is_dataclass
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from stat import S_ISREG
from tempfile import NamedTemporaryFile
from typing import Any

import diag.model
import diag.reading
from diag.model.book import Book
from diag.reading.location import Library, families, family_files
from diag.reading.yaml_nodes import PARSER

MAGIC = b"benchtrail book\n"
OTHERS_MAY_WRITE = 0o022
"""Bits of a file's mode by which another user could have put something into it."""


@dataclass(frozen=True, slots=True)
class BookCache:
    """Where one book is kept, and the fingerprint of all that it is made from."""

    file: Path
    fingerprint: bytes

    def load(self) -> Book | None:
        """The book, or None if it is not there, is another state of it, or can't be trusted."""
        raw = _own_bytes(self.file)
        head = MAGIC + self.fingerprint
        if raw is None or not raw.startswith(head):
            return None
        check, kept = raw[len(head) : len(head) + 32], raw[len(head) + 32 :]
        if sha256(kept).digest() != check:
            return None
        try:
            book = _Unpickler(BytesIO(kept)).load()
        except Exception:  # noqa: BLE001 - whatever is wrong with it, the files are at hand
            return None
        return book if isinstance(book, Book) else None

    def keep(self, book: Book) -> None:
        """Write the book whole or not at all; a folder that can't be written is left alone."""
        kept = pickle.dumps(book, protocol=5)
        raw = MAGIC + self.fingerprint + sha256(kept).digest() + kept
        with suppress(OSError):
            self.file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            with NamedTemporaryFile(dir=self.file.parent, delete=False) as temporary:
                try:
                    temporary.write(raw)
                    temporary.close()
                    os.replace(temporary.name, self.file)
                except OSError:
                    os.unlink(temporary.name)


def book_cache(cache: Path | None, library: Library, folder: Path) -> BookCache | None:
    """Where the book of a folder is kept; None where nothing can be kept safely.

    Args:
        cache: a folder of this user's own; None to keep nothing.
        library: where the knowledge is.
        folder: the folder of the family in it.
    """
    # Without `getuid` nobody can say whose a file is.
    code = _code() if cache is not None and hasattr(os, "getuid") else None
    if cache is None or code is None:
        return None
    place = sha256(f"{folder.resolve()}\n{library.additions}".encode()).digest()
    digest = sha256(code + place)
    for name, path in _knowledge(library, folder):
        try:
            raw = path.read_bytes()
        except OSError:
            return None
        digest.update(f"{len(name)} {len(raw)} {name}".encode() + raw)
    return BookCache(cache / f"{folder.name}-{place.hex()[:16]}.book", digest.digest())


def _knowledge(library: Library, folder: Path) -> Iterator[tuple[str, Path]]:
    """Every file that a book of the library may be made from."""
    yield from ((library.shown(path), path) for path in family_files(folder))
    for family in families(library.root, library.additions):
        for root in filter(None, (library.root, library.additions)):
            yield from ((library.shown(path), path) for path in family_files(root / family))
            yield from ((library.shown(path), path) for path in library.sources(root / family))


def _code() -> bytes | None:
    """A fingerprint of the code that makes books; None if its source is not here."""
    digest = sha256(f"{sys.version} {PARSER}".encode())
    for package in (diag.model, diag.reading):
        sources = sorted(path for place in package.__path__ for path in Path(place).glob("*.py"))
        if not sources:
            return None
        for path in sources:
            digest.update(path.name.encode() + path.read_bytes())
    return digest.digest()


def _own_bytes(path: Path) -> bytes | None:
    """What a file holds that this user wrote and no other can have changed."""
    try:
        descriptor = os.open(path, os.O_RDONLY | os.O_NOFOLLOW)
    except OSError:
        return None
    with os.fdopen(descriptor, "rb") as opened:
        found = os.fstat(opened.fileno())
        is_own = found.st_uid == os.getuid() and not found.st_mode & OTHERS_MAY_WRITE
        return opened.read() if is_own and S_ISREG(found.st_mode) else None


class _Unpickler(pickle.Unpickler):
    """Knows the values of the model and nothing else, so that a file can't run anything."""

    def find_class(self, module: str, name: str) -> Any:
        """A dataclass of `diag.model`."""
        if module.startswith("diag.model."):
            found = super().find_class(module, name)
            if is_dataclass(found):
                return found
        raise pickle.UnpicklingError(f"{module}.{name} has no place in a book")
