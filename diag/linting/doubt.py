"""One doubtful thing of a book, and the findings that tell such things."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from diag.model.book import Book
from diag.model.figures import Entry, Origin


class Found(NamedTuple):
    """Where something doubtful stands, and what it is."""

    origin: Origin
    words: str


@dataclass(frozen=True, slots=True)
class Finding:
    """One kind of doubt: its code, what it is in a few words, and how it is found in a book.

    A code never changes its meaning, which the docstring of `find` defines.
    """

    code: str
    says: str
    find: Callable[[Book], Iterator[Found]]


@dataclass(frozen=True, slots=True)
class Doubt:
    """One doubtful thing."""

    code: str
    origin: Origin
    found: str

    def __str__(self) -> str:
        """`path:line: code found`."""
        return f"{self.origin}: {self.code} {self.found}"


def found_at(entry: Entry, words: str) -> Found:
    """Something doubtful about an entry, which is named first."""
    return Found(entry.origin, f"{entry.id}: {words}")


def listed(names: list[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
