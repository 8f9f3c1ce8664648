"""Doubts about causes and the signs that they show."""

from __future__ import annotations

from collections.abc import Iterator

from diag.linting.doubt import Found, found_at
from diag.model.book import Book
from diag.model.cause import Sign
from diag.model.figures import ADDITIONS


def without_remedy(book: Book) -> Iterator[Found]:
    """B01: nothing is said to mend it."""
    for cause in book.causes.values():
        if not cause.mended_by:
            yield found_at(cause, "no remedy mends it.")


def unasked(book: Book) -> Iterator[Found]:
    """B02: no check asks for any sign that it shows."""
    asked = _signs_asked(book)
    for cause in book.causes.values():
        if not asked & set(cause.shows):
            yield found_at(cause, "no check asks for any of its signs.")


def sign_unasked(book: Book) -> Iterator[Found]:
    """B03: no check and no symptom speaks of it."""
    spoken = _signs_asked(book) | _signs_complained(book)
    for sign in _own_signs(book):
        if sign.id not in spoken:
            yield found_at(sign, "no check and no symptom asks for it.")


def sign_only_complained(book: Book) -> Iterator[Found]:
    """B15: a symptom speaks of it and no check does, so that a complaint is never made sure."""
    asked, complained = _signs_asked(book), _signs_complained(book)
    for sign in _own_signs(book):
        if sign.id in complained and sign.id not in asked:
            yield found_at(sign, "a symptom speaks of it, and no check asks for it.")


def sign_unshown(book: Book) -> Iterator[Found]:
    """B04: no cause brings it about, so that it can't be evidence for anything."""
    for sign in _own_signs(book):
        if not book.causes_of[sign.id]:
            yield found_at(sign, "no cause shows it.")


def _own_signs(book: Book) -> Iterator[Sign]:
    """The signs of the family's own files: one that was taken over is judged where it is from."""
    for sign in book.signs.values():
        folder, inside, _ = sign.origin.path.removeprefix(f"{ADDITIONS}/").partition("/")
        if not inside or folder == book.family:
            yield sign


def _signs_asked(book: Book) -> set[str]:
    """The signs that some check asks for."""
    return {sign for check in book.checks.values() for sign in check.signs}


def _signs_complained(book: Book) -> set[str]:
    return {str(sign) for symptom in book.symptoms.values() for sign in symptom.signs}
