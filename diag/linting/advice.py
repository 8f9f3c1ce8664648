"""Doubts about rules of thumb, facts and rules."""

from __future__ import annotations

from collections.abc import Iterator

from diag.linting.doubt import Found, found_at
from diag.model.book import Book


def thumb_uncited(book: Book) -> Iterator[Found]:
    """B08: no cause, check, remedy or rule cites it."""
    cited = {
        thumb
        for section in (book.causes, book.checks, book.remedies)
        for entry in section.values()
        for thumb in entry.cites
    }
    cited |= {c.cite for rule in book.rules.values() for c in rule.then if c.cite}
    for thumb in book.thumbs.values():
        if thumb.id not in cited:
            yield found_at(thumb, "nothing cites it.")


def thumb_without_unit(book: Book) -> Iterator[Found]:
    """B21: it has a `figure` and no `unit`."""
    for thumb in book.thumbs.values():
        if thumb.figure is not None and not thumb.unit:
            yield found_at(thumb, "it has a figure, and no unit.")


def thumb_without_range(book: Book) -> Iterator[Found]:
    """B27: it has a `figure` and no `range` in which it holds; fine for a limit, else too exact."""
    for thumb in book.thumbs.values():
        if thumb.figure is not None and not thumb.range:
            yield found_at(thumb, "it has a figure, and no range.")


def fact_untold(book: Book) -> Iterator[Found]:
    """B13: a rule asks for a fact that no rule derives and intake does not ask."""
    derived = {c.derive for rule in book.rules.values() for c in rule.then if c.derive}
    known = {*derived, *book.facts, *book.traits, "age"}
    for rule in book.rules.values():
        for condition in rule.when.every_condition():
            names = (condition.fact, condition.differs_from, condition.same_as)
            for fact in names:
                if fact is not None and fact not in known:
                    yield found_at(rule, f"nothing tells the fact '{fact}'.")
