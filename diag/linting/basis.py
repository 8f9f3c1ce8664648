"""Figures of a book, and which of them say where they come from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from diag.linting.doubt import Found, found_at
from diag.model.book import Book
from diag.model.figures import Entry
from diag.model.layer import Layer
from diag.reading.draft import FIGURE_PARTS
from diag.reading.shape import Part


class Figure(NamedTuple):
    """One figure: the field in which it stands, and whether the book says where it is from."""

    entry: Entry
    field: str
    has_basis: bool


def figures_of(book: Book) -> Iterator[Figure]:
    """Every figure of a book; a table of priors by age is one.

    A figure has a basis where `Entry.basis` has words for it, for its field, or for the whole
    entry; a thumb's figure has the source of the thumb.
    """
    for section, parts in FIGURE_PARTS.items():
        for entry in getattr(book, section).values():
            for part in parts:
                for place in _places(entry, part):
                    stated = {"", part.key, place} & entry.basis.keys()
                    yield Figure(entry, part.key, bool(stated) or section == "thumbs")


def without_basis(book: Book) -> Iterator[Found]:
    """B24: figures of an entry of which the book doesn't say where they come from."""
    missing: dict[int, tuple[Entry, dict[str, None]]] = {}
    for entry, field, has_basis in figures_of(book):
        if not has_basis:
            missing.setdefault(id(entry), (entry, {}))[1][field] = None
    for entry, fields in missing.values():
        yield found_at(entry, f"no basis for {', '.join(fields)}.")


def _places(entry: Any, part: Part) -> list[str]:
    """Where the figures of a key stand in an entry, as `basis` names them."""
    if isinstance(entry, Layer) and part.key in ("open", "close"):  # the closed deck is not opened
        return [part.key] if entry.under is not None else []
    value = getattr(entry, part.name)
    if isinstance(value, Mapping):
        return [f"{part.key}.{key}" for key in value]
    return [] if value is None else [part.key]
