"""Events as plain values and back, strictly: what is not exactly right is never guessed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import UTC, datetime
from types import UnionType
from typing import Any, Literal, get_args, get_origin, get_type_hints

from diag.cases import events
from diag.cases.events import Event
from diag.cases.held_against import HeldAgainst
from diag.cases.json_text import Plain, dump_line, load_json, shown, shown_key
from diag.cases.part_kept import PartKept
from diag.cases.taken_apart import PutBack, TakenOff
from diag.cases.text import check_number
from diag.errors import CaseError
from diag.model.trait import Deck

KINDS: Mapping[str, type[Event]] = {
    "taken_in": events.TakenIn,
    "symptom": events.SymptomTold,
    "answered": events.Answered,
    "measured": events.Measured,
    "captured": events.Captured,
    "opened": events.Opened,
    "closed": events.Closed,
    "remedied": events.Remedied,
    "acknowledged": events.Acknowledged,
    "noted": events.Noted,
    "taken_off": TakenOff,
    "put_back": PutBack,
    "part": PartKept,
    "held_against": HeldAgainst,
    "struck": events.Struck,
}
"""The word for each kind of event; these stand in files and never change."""

_WORDS = {kind: word for word, kind in KINDS.items()}


def kind_of(event: Event) -> str:
    """The word for an event's kind."""
    return _WORDS[type(event)]


def to_plain(event: Event) -> Plain:
    """An event as a mapping of plain values, its kind and time first."""
    plain: dict[str, Any] = {"kind": kind_of(event), "at": time_text(event.at)}
    for field in fields(event):
        if field.name != "at":
            plain[field.name] = _plain_value(getattr(event, field.name))
    return plain


def from_plain(plain: object) -> Event:
    """The event that a mapping of plain values describes.

    Raises:
        CaseError: a kind or key that is not known, a value of the wrong type, a key that is
            missing, or what the event itself refuses.
    """
    if not isinstance(plain, dict):
        raise CaseError("An event is not an object in braces.", do="Correct the file.")
    word = plain.get("kind")
    if not isinstance(word, str) or word not in KINDS:
        raise CaseError(
            f"The kind of event is {shown(word)}, which is not known.",
            do="A newer benchtrail may know it: update this one.",
        )
    kind = KINDS[word]
    refuse_unknown_keys(plain, {"kind", *_READERS[word]})
    return kind(**_values(fields(kind), _READERS[word], plain, "event"))


def dump_event(event: Event) -> str:
    """An event as one line of JSON."""
    return dump_line(to_plain(event))


def load_event(text: str) -> Event:
    """The event that `dump_event` wrote.

    Raises:
        CaseError: it is no JSON, or what `from_plain` refuses.
    """
    return from_plain(load_json(text))


@contextmanager
def told_at(where: str) -> Iterator[None]:
    """Add the place to whatever `CaseError` is raised inside."""
    try:
        yield
    except CaseError as error:
        place = f"{where}, {error.where}" if error.where else where
        raise CaseError(error.found, where=place, do=error.do) from error


def refuse_unknown_keys(plain: Plain, known: Iterable[str]) -> None:
    """Refuse keys that would be lost in silence."""
    unknown = sorted(set(plain) - set(known))
    if unknown:
        raise CaseError(
            f"The key {shown_key(unknown[0])} is not known.",
            do="A newer benchtrail may know it: update this one.",
        )


def time_text(moment: datetime) -> str:
    """A moment in UTC as ISO 8601."""
    return moment.astimezone(UTC).isoformat()


def _values(
    known: Iterable[Field[Any]], readers: Mapping[str, Reader], plain: Plain, what: str
) -> dict[str, Any]:
    """What the fields of an event, or of a part of one, are given."""
    values: dict[str, Any] = {}
    for field in known:
        if field.name in plain:
            values[field.name] = readers[field.name](plain[field.name], field.name)
        elif field.default is MISSING and field.default_factory is MISSING:
            raise CaseError(f"The {what} has no `{field.name}`.", do="Correct the file.")
    return values


def _plain_value(value: Any) -> Any:
    if isinstance(value, Deck):
        return _plain_deck(value)
    if isinstance(value, tuple):
        return [_plain_value(part) for part in value]
    if is_dataclass(value):
        return {field.name: _plain_value(getattr(value, field.name)) for field in fields(value)}
    return value


def _plain_deck(deck: Deck) -> Plain:
    return {
        "age_years": deck.age_years,
        "traits": dict(deck.traits),
        "facts": dict(deck.facts),
    }


def _deck(value: object, what: str) -> Deck:
    plain = _mapping(value, what)
    refuse_unknown_keys(plain, {"age_years", "traits", "facts"})
    age = plain.get("age_years")
    traits = _mapping(plain.get("traits", {}), "traits")
    facts = _mapping(plain.get("facts", {}), "facts")
    return Deck(
        age_years=None if age is None else _number(age, "age_years"),
        traits={trait: _text(known, trait) for trait, known in traits.items()},
        facts={
            fact: known if isinstance(known, str) else _number(known, fact)
            for fact, known in facts.items()
        },
    )


def _mapping(value: object, what: str) -> Plain:
    if not isinstance(value, dict):
        raise CaseError(f"{shown_key(what)} is not an object in braces.", do="Correct the file.")
    return value


def _text(value: object, what: str) -> str:
    if not isinstance(value, str):
        raise CaseError(f"{shown_key(what)} is no text.", do="Put it between quotes.")
    return value


def _number(value: object, what: str) -> float:
    return check_number(value, shown_key(what))


def _whole(value: object, what: str) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise CaseError(f"{shown_key(what)} is no whole number.", do="Correct the file.")
    return value


def _truth(value: object, what: str) -> bool:
    if not isinstance(value, bool):
        raise CaseError(f"{shown_key(what)} is neither true nor false.", do="Correct the file.")
    return value


def _time(value: object, what: str) -> datetime:
    try:
        moment = datetime.fromisoformat(_text(value, what))
        if moment.tzinfo is None:
            raise ValueError("no time zone")
        return moment.astimezone(UTC)
    except (ValueError, OverflowError) as error:
        raise CaseError(
            f"{shown_key(what)} is {shown(value)}.", do="Give date, time and zone as in ISO 8601."
        ) from error


Reader = Callable[[object, str], Any]
"""Reads a plain value; the second argument is its key, for the error."""


def _reader(hint: Any) -> Reader:
    if get_origin(hint) is Literal:
        return _word_of(get_args(hint))
    if get_origin(hint) is tuple:
        return _list_of(get_args(hint)[0])
    if get_origin(hint) is UnionType:
        return _or_none(_reader(get_args(hint)[0]))
    readers: Mapping[Any, Reader] = {
        str: _text,
        bool: _truth,
        int: _whole,
        float: _number,
        datetime: _time,
        Deck: _deck,
    }
    return readers[hint] if hint in readers else _part_of(hint)


def _or_none(read_one: Reader) -> Reader:
    """Reads a value that may be missing, as `float | None` says."""
    return lambda value, what: None if value is None else read_one(value, what)


def _list_of(hint: Any) -> Reader:
    read_one = _reader(hint)

    def read(value: object, what: str) -> Any:
        if not isinstance(value, list):
            raise CaseError(f"{shown_key(what)} is no list.", do="Correct the file.")
        return tuple(read_one(part, what) for part in value)

    return read


def _part_of(kind: Any) -> Reader:
    """Reads a dataclass that is part of an event."""
    readers = {name: _reader(hint) for name, hint in get_type_hints(kind).items()}

    def read(value: object, what: str) -> Any:
        plain = _mapping(value, what)
        refuse_unknown_keys(plain, readers)
        return kind(**_values(fields(kind), readers, plain, f"part of `{what}`"))

    return read


def _word_of(words: tuple[str, ...]) -> Reader:
    def read(value: object, what: str) -> Any:
        if value not in words:
            raise CaseError(
                f"{shown_key(what)} is {shown(value)}.", do=f"Give {' or '.join(words)}."
            )
        return value

    return read


_READERS: Mapping[str, Mapping[str, Reader]] = {
    word: {name: _reader(hint) for name, hint in get_type_hints(kind).items()}
    for word, kind in KINDS.items()
}
"""For each kind and each of its fields, what reads the plain value."""
