"""An entry of a book as plain text, with all that refers to it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import Any

from diag.errors import UnknownId
from diag.model.book import Book
from diag.model.figures import Prior
from diag.model.mentions import SECTIONS, Ref, listed_in, named_by
from diag.model.nearest import nearest

HIDDEN = frozenset({"id", "origin", "basis"})


def find(books: Sequence[Book], name: str) -> list[tuple[Book, str]]:
    """Every (book, section) that has an entry of this id.

    Raises:
        UnknownId: none has; names the nearest.
    """
    found = [(b, section) for b in books for section in SECTIONS if name in getattr(b, section)]
    if not found:
        known = {entry for b in books for section in SECTIONS for entry in getattr(b, section)}
        raise UnknownId(f"no entry has the id '{name}'.", do=nearest(name, sorted(known)))
    return found


def entry_text(book: Book, section: str, name: str) -> str:
    """The entry, its basis, and what refers to it."""
    entry = getattr(book, section)[name]
    lines = [f"{book.family} / {section} / {name}    {entry.origin}"]
    lines += _block(_told(entry), "")
    for at, words in getattr(entry, "basis", {}).items():
        lines.append(f"  basis{' of ' + at if at else ''}: {words}")
    users = [f"{user.section} / {user.id}" for user in named_by(book).get(Ref(section, name), ())]
    users += listed_in(book, Ref(section, name))
    if users:
        lines += ["  referred to by:", *(f"    {user}" for user in users)]
    return "\n".join(lines)


def _value(label: str, value: Any, indent: str) -> list[str]:
    """One field: on a line of its own, or as a block with its parts below."""
    head = f"{indent}{label}:"
    if isinstance(value, Prior):
        return [f"{head} {_prior(value)}"]
    if isinstance(value, Mapping):
        return [head, *_block(value.items(), indent)]
    if is_dataclass(value):
        return [head, *_block(_told(value), indent)]
    if isinstance(value, tuple) and any(is_dataclass(item) for item in value):
        return [line for item in value for line in _value(label, item, indent)]
    if isinstance(value, tuple):
        return [f"{head} {', '.join(map(str, value))}"]
    return [f"{head} {value:g}" if isinstance(value, float) else f"{head} {value}"]


def _block(parts: Iterable[tuple[str, Any]], indent: str) -> Iterator[str]:
    for key, inner in parts:
        yield from _value(str(key), inner, indent + "  ")


def _told(entry: Any) -> Iterator[tuple[str, Any]]:
    """The fields of an entry that say something."""
    for part in fields(entry):
        value = getattr(entry, part.name)
        if part.name not in HIDDEN and value not in ("", (), {}, None, False):
            yield part.name.replace("_", " "), value


def _prior(prior: Prior) -> str:
    if len(prior.by_age) == 1:
        return f"{prior.by_age[0][1]:g}"
    return ", ".join(f"{p:g} at {age:g} years" for age, p in prior.by_age)
