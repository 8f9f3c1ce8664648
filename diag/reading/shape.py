"""The shape of knowledge files, worked out from the type hints of `diag.model`.

One description serves both the builder and the JSON Schema, so that the two can't disagree.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass
from functools import cache
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from diag.model import figures
from diag.model.figures import Origin, Prior
from diag.model.mentions import SECTION_OF


@dataclass(frozen=True, slots=True)
class Text:
    """Words for a person."""


@dataclass(frozen=True, slots=True)
class Word:
    """A lower_snake_case word (or a whole number, read as a word) that refers to nothing."""


@dataclass(frozen=True, slots=True)
class Reference:
    """The id of an entry in `section`."""

    section: str


@dataclass(frozen=True, slots=True)
class Number:
    """A finite number; `low` and `high` are allowed unless `above` says that low is not."""

    low: float | None = None
    high: float | None = None
    above: bool = False
    whole: bool = False
    what: str = "a number"


@dataclass(frozen=True, slots=True)
class YesNo:
    """`true`, `false`, `yes` or `no`."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One of a few words."""

    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WordOrNumber:
    """A word or a number, as it stands."""


@dataclass(frozen=True, slots=True)
class PriorFigure:
    """One probability for every age, or a table of them by age in years."""


@dataclass(frozen=True, slots=True)
class ListOf:
    """A list."""

    item: Shape


@dataclass(frozen=True, slots=True)
class MapOf:
    """A mapping whose keys are words or references."""

    key: Word | Reference
    item: Shape


@dataclass(frozen=True, slots=True)
class Part:
    """One key of a record."""

    key: str
    name: str
    shape: Shape
    required: bool


@dataclass(frozen=True, slots=True)
class Record:
    """A mapping that becomes a dataclass; resolved late, since walks and groups hold themselves."""

    cls: Any

    @property
    def parts(self) -> tuple[Part, ...]:
        """Its keys, without those that the builder fills in."""
        return _parts(self.cls)


@dataclass(frozen=True, slots=True)
class Either:
    """The first record that has one of the keys found."""

    options: tuple[Record, ...]


Shape = (
    Text
    | Word
    | Reference
    | Number
    | YesNo
    | Choice
    | WordOrNumber
    | PriorFigure
    | ListOf
    | MapOf
    | Record
    | Either
)

FILLED_IN = frozenset({"id", "origin", "basis"})

_SIMPLE: Mapping[Any, Shape] = {
    str: Text(),
    float: Number(),
    int: Number(whole=True, what="a whole number"),
    bool: YesNo(),
    figures.Name: Word(),
    figures.Probability: Number(0, 1, what="a probability from 0 to 1"),
    figures.Minutes: Number(0, what="minutes, zero or more"),
    figures.Years: Number(0, what="years, zero or more"),
    figures.Factor: Number(0, above=True, what="a factor above 0"),
    Prior: PriorFigure(),
    **{kind: Reference(section) for kind, section in SECTION_OF.items()},
}


def shape_of(hint: Any) -> Shape:
    """The shape of a value with this type hint."""
    if hint in _SIMPLE:
        return _SIMPLE[hint]
    if is_dataclass(hint):
        return Record(hint)
    args = get_args(hint)
    match get_origin(hint):
        case origin if origin is tuple:
            return ListOf(shape_of(args[0]))
        case origin if origin is Mapping:
            key = shape_of(args[0])
            assert isinstance(key, Word | Reference)
            return MapOf(key, shape_of(args[1]))
        case origin if origin is Literal:
            return Choice(tuple(args))
        case origin if origin in (UnionType, Union):
            return _union(tuple(arg for arg in args if arg is not NoneType))
    raise TypeError(f"no shape for {hint!r}")


def _union(options: tuple[Any, ...]) -> Shape:
    if len(options) == 1:
        return shape_of(options[0])
    if set(options) == {str, float}:
        return WordOrNumber()
    return Either(tuple(Record(option) for option in options))


@cache
def parts_by_key(cls: Any) -> Mapping[str, Part]:
    """The parts of a record by their key."""
    return {part.key: part for part in _parts(cls)}


@cache
def _parts(cls: Any) -> tuple[Part, ...]:
    hints = get_type_hints(cls)
    return tuple(
        Part(
            key=field.metadata.get("key", field.name),
            name=field.name,
            shape=shape_of(hints[field.name]),
            required=field.default is MISSING and field.default_factory is MISSING,
        )
        for field in fields(cls)
        if field.name not in FILLED_IN and hints[field.name] is not Origin
    )
