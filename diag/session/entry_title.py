"""What an entry of a book is called."""

from __future__ import annotations

from diag.model.book import Book
from diag.model.mentions import Ref
from diag.model.words import layer_says

_TITLES = {"checks": "ask", "traits": "ask", "facts": "ask", "sources": "title"}


def entry_title(book: Book, ref: Ref) -> str:
    """An entry in one line; one that has no words of its own is called by its id.

    A walk is called after the complaint that it starts from.
    """
    name = ref.id.replace("_", " ")
    if ref.section == "layers":
        return layer_says(book, ref.id)
    if ref.section == "walks":
        told = [s.says for s in book.symptoms.values() if s.walk == ref.id]
        return f"Walk: {'; '.join(told) or name}"
    entry = getattr(book, ref.section).get(ref.id)
    says = str(getattr(entry, _TITLES.get(ref.section, "says"), "")) or name
    return says[:1].upper() + says[1:]
