"""A book to browse: its entries in rows, one entry in words, and all that refers to it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from functools import cached_property
from typing import Any

from diag.errors import UnknownId
from diag.model.book import Book
from diag.model.mentions import SECTIONS, Ref, listed_in, named_by, named_in
from diag.model.nearest import nearest
from diag.session.book_parts import Link, Part, parts_of
from diag.session.entry_title import entry_title

SECTION_WORDS: Mapping[str, str] = {
    "symptoms": "Complaints",
    "causes": "Causes",
    "checks": "Checks",
    "remedies": "Remedies",
    "thumbs": "Rules of thumb",
    "cautions": "Cautions",
    "signs": "Signs",
    "layers": "Layers",
    "walks": "Walks",
    "traits": "Traits",
    "facts": "Facts",
    "rules": "Rules",
    "sources": "Sources",
}
"""The sections in the order in which they are browsed."""


@dataclass(frozen=True, slots=True)
class Row:
    """One entry in a list."""

    ref: Ref
    says: str


@dataclass(frozen=True, slots=True)
class BookPage:
    """One entry in words. `basis` says for each figure where it comes from."""

    ref: Ref
    title: str
    origin: str
    parts: tuple[Part, ...]
    basis: tuple[tuple[str, str], ...]


class BookPages:
    """The pages of one book."""

    def __init__(self, book: Book) -> None:
        self.book = book

    @property
    def sections(self) -> tuple[str, ...]:
        """The sections that have entries, in the order in which they are browsed."""
        return tuple(name for name in SECTION_WORDS if getattr(self.book, name))

    def rows(self, section: str) -> tuple[Row, ...]:
        """The entries of a section by their words."""
        found = [row for row in self._rows if row.ref.section == section]
        return tuple(sorted(found, key=lambda row: row.says.casefold()))

    def search(self, typed: str) -> tuple[Row, ...]:
        """The entries in which every typed word stands, those with it in their title first."""
        words = typed.casefold().split()
        found = [row for row in self._rows if all(w in self._texts[row.ref] for w in words)]

        def rank(row: Row) -> tuple[bool, int]:
            title = row.says.casefold()
            return not all(word in title for word in words), order.index(row.ref.section)

        order = tuple(SECTION_WORDS)
        return tuple(sorted(found, key=rank)) if words else ()

    def page(self, ref: Ref) -> BookPage:
        """One entry with all that it names and all that names it.

        Raises:
            UnknownId: the book has no such entry.
        """
        known = getattr(self.book, ref.section)
        if ref.id not in known:
            do = nearest(ref.id, known)
            raise UnknownId(f"the book has no '{ref.id}' in {ref.section}.", do=do)
        entry = known[ref.id]
        parts = [part for part in parts_of(self.book, ref) if part.lines or part.links]
        shown = {link.ref for part in parts for link in part.links} | {ref}
        rest = (
            ("Names", named_in(entry)),
            ("Named by", self._users.get(ref, ())),
        )
        for title, refs in rest:
            links = tuple(self._link(other) for other in refs if other not in shown)
            parts += [Part(title, links=links)] if links else []
            shown |= set(refs)
        if lists := listed_in(self.book, ref):
            parts.append(Part("Asked in", (f"the {' and the '.join(lists)} of every case",)))
        basis = tuple(getattr(entry, "basis", {}).items())
        return BookPage(ref, entry_title(self.book, ref), str(entry.origin), tuple(parts), basis)

    def _link(self, ref: Ref) -> Link:
        return Link(ref, entry_title(self.book, ref), SECTION_WORDS[ref.section].lower())

    @cached_property
    def _rows(self) -> Sequence[Row]:
        return [
            Row(ref, entry_title(self.book, ref))
            for section in SECTION_WORDS
            for ref in (Ref(section, name) for name in getattr(self.book, section))
        ]

    @cached_property
    def _users(self) -> Mapping[Ref, tuple[Ref, ...]]:
        return named_by(self.book)

    @cached_property
    def _texts(self) -> Mapping[Ref, str]:
        return {
            Ref(section, name): " ".join(_texts(entry)).replace("_", " ").casefold()
            for section in SECTIONS
            for name, entry in getattr(self.book, section).items()
        }


def _texts(value: Any) -> Iterator[str]:
    """Every text within an entry."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            yield str(key)
            yield from _texts(inner)
    elif isinstance(value, tuple):
        for inner in value:
            yield from _texts(inner)
    elif is_dataclass(value):
        for part in fields(value):
            if part.name not in ("origin", "basis"):
                yield from _texts(getattr(value, part.name))
