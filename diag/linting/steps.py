"""Doubts about checks and remedies that are of no use."""

from __future__ import annotations

from collections.abc import Iterator

from diag.linting.doubt import Found, found_at
from diag.model.book import Book


def check_says_nothing(book: Book) -> Iterator[Found]:
    """B05: no answer of it speaks of a sign; fine for a safety step, else useless."""
    steps = {s.check for walk in book.walks.values() for s in walk.every_step()}
    steps |= {*book.intake, *book.final_test}
    for check in book.checks.values():
        if not check.signs and check.id not in steps:
            yield found_at(check, "its answers speak of no sign, and no walk asks it.")


def remedy_mends_nothing(book: Book) -> Iterator[Found]:
    """B06: no cause names it."""
    for remedy, causes in book.mends.items():
        if not causes:
            yield found_at(book.remedies[remedy], "no cause is mended by it.")


def never_let_in_again(book: Book) -> Iterator[Found]:
    """B28: no check can deny a sign that bars another, so that this one stays barred."""
    for check in book.checks.values():
        for sign in check.not_while:
            deny = (
                other.id
                for other in book.checks.values()
                if sign not in other.not_while and other.can_deny(sign)
            )
            if next(deny, None) is None:
                yield found_at(check, f"it waits for `{sign}` to end, and no check can tell that.")
