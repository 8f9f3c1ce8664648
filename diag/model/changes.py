"""What changed from one book to another, entry by entry and figure by figure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

from diag.model.book import Book
from diag.model.figures import Prior
from diag.model.mentions import LISTS, SECTIONS, Ref

_PLACE_IN_FILE = frozenset({"id", "origin"})


@dataclass(frozen=True, slots=True)
class FigureChange:
    """One value within an entry; None where it was not there before, or is there no more.

    `at` is its place within the entry, such as `shows.speed_low`.
    """

    at: str
    old: str | None
    new: str | None


@dataclass(frozen=True, slots=True)
class EntryChange:
    """One entry that is new (`added`), gone (`removed`), or that says something else (`changed`).

    `replaced_by` is the id that stands for it now, where the newer book says so.
    """

    ref: Ref
    how: str
    figures: tuple[FigureChange, ...] = ()
    replaced_by: str = ""


def changes(old: Book, new: Book) -> tuple[EntryChange, ...]:
    """Every entry that says something else, by section and id; to stand elsewhere is no change."""
    found = []
    for section in SECTIONS:
        before, after = getattr(old, section), getattr(new, section)
        gone = new.retired.get(section, {})
        for name in sorted({*before, *after}):
            ref = Ref(section, name)
            if name not in after:
                found.append(EntryChange(ref, "removed", replaced_by=gone.get(name, "")))
            elif name not in before:
                found.append(EntryChange(ref, "added"))
            elif figures := tuple(_figures(before[name], after[name])):
                found.append(EntryChange(ref, "changed", figures))
    found += [change for kind in LISTS if (change := _listed(kind, old, new))]
    return tuple(found)


def _listed(kind: str, old: Book, new: Book) -> EntryChange | None:
    """A list of checks that the family keeps; its order counts."""
    before, after = getattr(old, kind), getattr(new, kind)
    if before == after:
        return None
    change = FigureChange("", ", ".join(before), ", ".join(after))
    return EntryChange(Ref("family", kind), "changed", (change,))


def _figures(old: Any, new: Any) -> Iterator[FigureChange]:
    before, after = dict(_flat(old, "")), dict(_flat(new, ""))
    for at in dict.fromkeys((*before, *after)):
        if before.get(at) != after.get(at):
            yield FigureChange(at, before.get(at), after.get(at))


def _flat(value: Any, at: str) -> Iterator[tuple[str, str]]:
    """Every value within an entry with its place, those that say nothing left out."""
    if isinstance(value, Prior):
        for age, p in value.by_age:
            yield (at if len(value.by_age) == 1 else f"{at} at {age:g} years"), f"{p:g}"
    elif (parts := _parts(value)) is not None:
        for name, inner in parts:
            yield from _flat(inner, f"{at}.{name}" if at else name)
    elif value not in ("", None, (), False):
        yield at, _word(value)


def _parts(value: Any) -> list[tuple[str, Any]] | None:
    """What a value is made of, by name; None if it is told in one piece."""
    if isinstance(value, Mapping):
        return [(str(key) or "entry", inner) for key, inner in value.items()]
    if is_dataclass(value):
        names = (part.name for part in fields(value) if part.name not in _PLACE_IN_FILE)
        return [(name, getattr(value, name)) for name in names]
    if isinstance(value, tuple) and any(map(is_dataclass, value)):
        return [(str(number), inner) for number, inner in enumerate(value, start=1)]
    return None


def _word(value: Any) -> str:
    if isinstance(value, tuple):
        return ", ".join(map(_word, value))
    return f"{value:g}" if isinstance(value, float) else str(value)
