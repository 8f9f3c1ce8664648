"""Commented knowledge files to start from, one a kind of entry."""

from __future__ import annotations

from importlib.resources import files

from diag.errors import BenchtrailError
from diag.model.book import Book
from diag.model.nearest import nearest
from diag.reading.build import WORD

_TEMPLATES = files("diag.reading") / "templates"
FAMILY = "family"
"""The kind that begins a book of its own."""


def kinds() -> tuple[str, ...]:
    """The kinds of entries that there is a template for."""
    return tuple(sorted(t.name.removesuffix(".yaml") for t in _TEMPLATES.iterdir()))


def from_template(kind: str, name: str, book: Book | None) -> str:
    """A commented file with one entry, that can be read as it stands.

    Args:
        kind: one of `kinds`.
        name: the id of the entry.
        book: the book that it is for, from which layers and checks are named; None for a family.

    Raises:
        BenchtrailError: there is no such kind, or the name is no id.
    """
    if kind not in kinds():
        do = nearest(kind, kinds()) or f"Choose {', '.join(kinds())}."
        raise BenchtrailError(f"there is no kind of entry '{kind}'.", do=do)
    if not WORD.fullmatch(name):
        raise BenchtrailError(
            f"'{name}' is no id.", do="Write small letters, digits and _, a letter first."
        )
    text = (_TEMPLATES / f"{kind}.yaml").read_text(encoding="utf-8").replace("<id>", name)
    if book is None:
        return text
    text = text.replace("<outside>", book.outside)
    check = next(iter(book.intake or book.checks), "")
    if check:
        answer = next(iter(book.checks[check].answers))
        text = text.replace("<check>", check).replace("<answer>", answer)
    return text
