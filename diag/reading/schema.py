"""The JSON Schema of knowledge files, for editors; from the same shapes as the builder."""

from __future__ import annotations

from typing import Any

from diag.model.rule import Condition, Group
from diag.reading.build import AGES, WORD
from diag.reading.draft import FIGURES, HEAD, SECTIONS
from diag.reading.shape import (
    Choice,
    Either,
    ListOf,
    MapOf,
    Number,
    Part,
    Record,
    Reference,
    Shape,
    Text,
    Word,
    WordOrNumber,
    YesNo,
)

_WORD: dict[str, Any] = {"type": ["string", "integer"], "pattern": f"^{WORD.pattern}$"}
_BASIS = {
    "type": ["string", "object"],
    "additionalProperties": {"type": "string"},
    "description": "where the figures of this entry come from, or those of each field",
}
_STATED = {
    "type": "object",
    "properties": {kind: {"type": "string"} for kind in FIGURES},
    "additionalProperties": False,
    "description": "where the figures of this file come from, for entries that don't say",
}
_LEAVES: dict[type, dict[str, Any]] = {
    Text: {"type": ["string", "number", "boolean"]},
    Word: _WORD,
    YesNo: {"enum": [True, False, "yes", "no"]},
    WordOrNumber: {"type": ["string", "number"]},
}


def json_schema() -> dict[str, Any]:
    """The schema (JSON Schema 2020-12) of any file of a family, family.yaml included."""
    records: dict[str, Any] = {}
    sections = {name: _section(name, cls, records) for name, cls in SECTIONS.items()}
    head = {name: _schema(shape, records) for name, shape in HEAD.items()}
    # A family that is taken over whole may stand as a word; `entries` makes it a record.
    whole = {"type": "string"}
    head["takes_from"]["items"] = {"anyOf": [whole, head["takes_from"]["items"]]}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "benchtrail knowledge file",
        "type": "object",
        "properties": head | {"basis": _STATED} | sections,
        "additionalProperties": False,
        "$defs": dict(sorted(records.items())),
    }


def _section(name: str, cls: Any, records: dict[str, Any]) -> dict[str, Any]:
    entry = _schema(Record(cls), records)
    if name == "rules":
        with_id = records[cls.__name__]
        with_id["properties"]["id"] = _WORD
        # A single condition may stand without a group; `entries` makes it one.
        with_id["properties"]["when"] = {
            "anyOf": [_schema(Record(Group), records), _schema(Record(Condition), records)]
        }
        with_id["required"] = sorted([*with_id["required"], "id"])
        return {"type": ["array", "null"], "items": entry}
    retired = {
        "type": "object",
        "properties": {"replaced_by": _WORD},
        "required": ["replaced_by"],
        "additionalProperties": False,
    }
    return {
        "type": ["object", "null"],
        "propertyNames": {"pattern": f"^{WORD.pattern}$"},
        "additionalProperties": {"anyOf": [entry, retired]},
    }


def _schema(shape: Shape, records: dict[str, Any]) -> dict[str, Any]:
    if type(shape) in _LEAVES:
        return dict(_LEAVES[type(shape)])
    match shape:
        case Reference(section):
            return {**_WORD, "description": f"an id of {section}"}
        case Number():
            return _with_basis(_number(shape))
        case Choice(words):
            return {"enum": list(words)}
        case ListOf(item):
            return {"type": "array", "items": _schema(item, records)}
        case MapOf(_, item):
            return {
                "type": ["object", "null"],
                "propertyNames": {"pattern": f"^{WORD.pattern}$"},
                "additionalProperties": _schema(item, records),
            }
        case Record(cls):
            return _record(cls, records)
        case Either(options):
            return {"anyOf": [_schema(option, records) for option in options]}
    return _prior()


def _number(shape: Number) -> dict[str, Any]:
    bounds: dict[str, Any] = {"type": "integer" if shape.whole else "number"}
    if shape.low is not None:
        bounds["exclusiveMinimum" if shape.above else "minimum"] = shape.low
    if shape.high is not None:
        bounds["maximum"] = shape.high
    return bounds


def _with_basis(figure: dict[str, Any]) -> dict[str, Any]:
    return {
        "anyOf": [
            figure,
            {
                "type": "object",
                "properties": {"value": figure, "basis": _BASIS},
                "required": ["value", "basis"],
                "additionalProperties": False,
            },
        ]
    }


def _prior() -> dict[str, Any]:
    probability = _with_basis(_number(Number(0, 1)))
    table = {
        "type": "object",
        "patternProperties": {f"^{AGES.pattern}$": probability},
        "properties": {"basis": _BASIS},
        "additionalProperties": False,
        "minProperties": 1,
    }
    return {"anyOf": [*probability["anyOf"], table]}


def _record(cls: Any, records: dict[str, Any]) -> dict[str, Any]:
    name = cls.__name__
    if name not in records:
        records[name] = {}  # walks and groups hold themselves
        parts: tuple[Part, ...] = Record(cls).parts
        required = sorted(part.key for part in parts if part.required)
        records[name].update(
            {
                "type": "object" if required else ["object", "null"],
                "description": (cls.__doc__ or "").split("\n")[0],
                "properties": {p.key: _schema(p.shape, records) for p in parts} | {"basis": _BASIS},
                "required": required,
                "additionalProperties": False,
            }
        )
    return {"$ref": f"#/$defs/{name}"}
