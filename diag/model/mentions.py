"""Which entries of a book name which, worked out from the type hints of the entries."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from functools import cache
from types import UnionType
from typing import TYPE_CHECKING, Any, Union, get_args, get_origin, get_type_hints

from diag.model import figures

if TYPE_CHECKING:
    from diag.model.book import Book

SECTION_OF: Mapping[Any, str] = {
    figures.SignId: "signs",
    figures.CauseId: "causes",
    figures.CheckId: "checks",
    figures.RemedyId: "remedies",
    figures.LayerId: "layers",
    figures.TraitId: "traits",
    figures.ThumbId: "thumbs",
    figures.CautionId: "cautions",
    figures.SymptomId: "symptoms",
    figures.WalkId: "walks",
    figures.SourceId: "sources",
    figures.FactId: "facts",
}
"""Each kind of id, and the section of a book in which its entries stand."""
SECTIONS = (
    "symptoms",
    "causes",
    "checks",
    "remedies",
    "signs",
    "thumbs",
    "cautions",
    "layers",
    "traits",
    "facts",
    "walks",
    "rules",
    "sources",
)
"""Every section, in the order in which entries are told."""


LISTS = ("intake", "final_test")
"""The lists of checks that a family keeps."""


@dataclass(frozen=True, slots=True, order=True)
class Ref:
    """One entry: the section of a book and the id in it."""

    section: str
    id: str


def kind_of(section: str) -> str:
    """What one entry of a section is called."""
    return "remedy" if section == "remedies" else section.removesuffix("s")


def named_in(entry: Any) -> tuple[Ref, ...]:
    """The entries that an entry names, each once, in order of first mention."""
    return tuple(dict.fromkeys(_in_record(entry)))


def named_by(book: Book) -> Mapping[Ref, tuple[Ref, ...]]:
    """For each entry that is named at all, the entries that name it; never itself."""
    found: dict[Ref, list[Ref]] = {}
    for section in SECTIONS:
        for name, entry in getattr(book, section).items():
            user = Ref(section, name)
            for ref in named_in(entry):
                if ref != user:
                    found.setdefault(ref, []).append(user)
    return {ref: tuple(users) for ref, users in found.items()}


def listed_in(book: Book, ref: Ref) -> tuple[str, ...]:
    """The lists of the family in which a check stands, in words."""
    is_check = ref.section == "checks"
    found = [name for name in LISTS if is_check and ref.id in getattr(book, name)]
    return tuple(name.replace("_", " ") for name in found)


def _in_record(value: Any) -> Iterator[Ref]:
    kind: Any = type(value)
    for name, hint in _hints(kind):
        yield from _in_value(getattr(value, name), hint)


@cache
def _hints(cls: Any) -> tuple[tuple[str, Any], ...]:
    hints = get_type_hints(cls)
    return tuple((part.name, hints[part.name]) for part in fields(cls))


def _in_value(value: Any, hint: Any) -> Iterator[Ref]:
    if value is None:
        return
    if hint in SECTION_OF:
        yield Ref(SECTION_OF[hint], str(value))
    elif is_dataclass(value):
        yield from _in_record(value)
    else:
        for item, kind in _inside(value, hint):
            yield from _in_value(item, kind)


def _inside(value: Any, hint: Any) -> Iterator[tuple[Any, Any]]:
    """What a value is made of, each with its type hint; nothing for a plain one."""
    args = get_args(hint)
    match get_origin(hint):
        case origin if origin is tuple:
            yield from ((item, args[0]) for item in value)
        case origin if origin is Mapping:
            for pair in value.items():
                yield from zip(pair, args, strict=True)
        case origin if origin in (UnionType, Union):
            yield from ((value, kind) for kind in args)
