"""Nodes to model values, by shape. Every problem is collected; none stops the run."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from math import isfinite
from typing import Any

from diag.errors import Problem
from diag.model.figures import Entry, Origin, Prior, Probability, Years
from diag.model.nearest import nearest
from diag.reading.shape import (
    Choice,
    Either,
    ListOf,
    MapOf,
    Number,
    PriorFigure,
    Record,
    Reference,
    Shape,
    Text,
    Word,
    WordOrNumber,
    YesNo,
    parts_by_key,
)
from diag.reading.yaml_nodes import Node

WORD = re.compile(r"[a-z0-9][a-z0-9_]*")
AGES = re.compile(r"\d{1,3}")

NOT_BUILT: Any = object()
"""Stands for a value that could not be built; its problem has been told."""


@dataclass(frozen=True, slots=True)
class Use:
    """A place where an entry of `section` is named: in which field of which entry.

    `owner` is that entry's section and id; both are empty for the head of a family.
    """

    section: str
    id: str
    origin: Origin
    owner: tuple[str, str] = ("", "")
    field: str = ""


@dataclass(slots=True)
class Findings:
    """What one run of reading gathers as it goes along."""

    problems: list[Problem] = field(default_factory=list)
    uses: list[Use] = field(default_factory=list)

    def problem(self, origin: Origin, found: str, do: str = "") -> Any:
        """Note a problem; returns NOT_BUILT so that a builder can return the call."""
        self.problems.append(Problem(origin.path, origin.line, found, do))
        return NOT_BUILT


class Builder:
    """Builds the values of one file."""

    def __init__(self, path: str, findings: Findings) -> None:
        self.path = path
        self.findings = findings
        self.stated: Mapping[str, str] = {}
        """Where the figures of this file come from by their kind, if an entry does not say."""
        self.owner = ("", "")
        """Section and id of the entry that is being built."""
        self._basis: dict[str, str] = {}
        self._builders: dict[type, Callable[[Node, Any, str], Any]] = {
            Text: self._text,
            Word: self._word,
            Reference: self._reference,
            Number: self._number,
            YesNo: self._yes_no,
            Choice: self._choice,
            WordOrNumber: self._word_or_number,
            PriorFigure: self._prior,
            ListOf: self._list,
            MapOf: self._map,
            Record: self._nested,
            Either: self._either,
        }

    def origin(self, node: Node) -> Origin:
        """Where a node stands."""
        return Origin(self.path, node.line)

    def problem(self, node: Node, found: str, do: str = "") -> Any:
        """Note a problem at a node; returns NOT_BUILT."""
        return self.findings.problem(self.origin(node), found, do)

    def entry(self, node: Node, cls: Any, name: str) -> Any:
        """An entry of a section; `basis` words met on the way are gathered in it."""
        self._basis = {}
        return self._record(node, cls, "", name)

    def build(self, node: Node, shape: Shape, at: str) -> Any:
        """A value of any shape; `at` is its place within the entry, for `basis`."""
        return self._builders[type(shape)](node, shape, at)

    def _text(self, node: Node, _shape: Text, at: str) -> Any:
        if node.kind != "scalar" or node.scalar is None:
            return self.problem(node, f"{_name(at)}words are wanted here; found {node.told}.")
        return str(node.scalar).strip()

    def _word(self, node: Node, _shape: Word, at: str) -> Any:
        word = node.scalar
        if node.kind != "scalar" or isinstance(word, bool) or not WORD.fullmatch(str(word)):
            do = "Write it in small letters, digits and underscores; yes and no are plain words."
            found = f"{_name(at)}a lower_snake_case word is wanted here; found {node.told}."
            return self.problem(node, found, do)
        return str(word)

    def _reference(self, node: Node, shape: Reference, at: str) -> Any:
        word = self._word(node, Word(), at)
        if word is not NOT_BUILT:
            field = at.partition(".")[0]
            use = Use(shape.section, word, self.origin(node), self.owner, field)
            self.findings.uses.append(use)
        return word

    def _number(self, node: Node, shape: Number, at: str) -> Any:
        if node.kind == "map":
            return self._figure_with_basis(node, shape, at)
        value = node.scalar
        if not isinstance(value, int | float) or isinstance(value, bool) or not isfinite(value):
            return self.problem(node, f"{_name(at)}{shape.what} is wanted; found {node.told}.")
        low = shape.low is not None and (value < shape.low or (shape.above and value == shape.low))
        if low or (shape.high is not None and value > shape.high):
            return self.problem(node, f"{_name(at)}{value} is not {shape.what}.")
        if shape.whole and value != int(value):
            return self.problem(node, f"{_name(at)}{value} is not {shape.what}.")
        return int(value) if shape.whole else float(value)

    def _figure_with_basis(self, node: Node, shape: Number, at: str) -> Any:
        keys = {str(key.scalar): value for key, value in node.pairs}
        if set(keys) != {"value", "basis"}:
            found = f"{_name(at)}{shape.what} is wanted; found a mapping."
            return self.problem(node, found, "Write a number, or {value: ..., basis: ...}.")
        self._note_basis(keys["basis"], at)
        return self._number(keys["value"], shape, at)

    def _note_basis(self, node: Node, at: str) -> None:
        """Words for the entry or one figure, or a mapping from fields to words."""
        for key, words in node.pairs:
            self._note_basis(words, f"{at}.{key.scalar}" if at else str(key.scalar))
        if node.kind == "map":
            return
        words = self._text(node, Text(), f"{at}.basis" if at else "basis")
        if words is not NOT_BUILT:
            self._basis[at] = words

    def _yes_no(self, node: Node, _shape: YesNo, at: str) -> Any:
        if node.kind == "scalar" and node.scalar in (True, "yes"):
            return True
        if node.kind == "scalar" and node.scalar in (False, "no") and node.scalar is not None:
            return False
        return self.problem(node, f"{_name(at)}yes or no is wanted; found {node.told}.")

    def _choice(self, node: Node, shape: Choice, at: str) -> Any:
        if node.kind == "scalar" and node.scalar in shape.words:
            return node.scalar
        wanted = ", ".join(shape.words)
        return self.problem(node, f"{_name(at)}one of {wanted} is wanted; found {node.told}.")

    def _word_or_number(self, node: Node, _shape: WordOrNumber, at: str) -> Any:
        if isinstance(node.scalar, int | float) and not isinstance(node.scalar, bool):
            return float(node.scalar)
        return self._word(node, Word(), at)

    def _prior(self, node: Node, _shape: PriorFigure, at: str) -> Any:
        probability = Number(0, 1, what="a probability from 0 to 1")
        keys = {str(key.scalar) for key, _ in node.pairs}
        if node.kind != "map" or keys == {"value", "basis"}:
            p = self._number(node, probability, at)
            return p if p is NOT_BUILT else Prior(((Years(0.0), Probability(p)),))
        if not keys - {"basis"}:
            return self.problem(node, f"{_name(at)}the table is empty.")
        pairs = []
        for key, value in node.pairs:
            if key.scalar == "basis":
                self._note_basis(value, at)
            elif not AGES.fullmatch(str(key.scalar)):
                self.problem(key, f"{_name(at)}an age in years is wanted; found {key.told}.")
                pairs.append((0, NOT_BUILT))
            else:
                pairs.append((int(str(key.scalar)), self._number(value, probability, at)))
        if any(p is NOT_BUILT for _, p in pairs):
            return NOT_BUILT
        return Prior(tuple((Years(float(age)), Probability(p)) for age, p in sorted(pairs)))

    def _list(self, node: Node, shape: ListOf, at: str) -> Any:
        if node.kind != "list":
            found = f"{_name(at)}a list is wanted; found {node.told}."
            return self.problem(node, found, "Write [a, b], or a line with '- ' for each.")
        built = [self.build(item, shape.item, at) for item in node.items]
        return tuple(value for value in built if value is not NOT_BUILT)

    def _map(self, node: Node, shape: MapOf, at: str) -> Any:
        if node.kind == "scalar" and node.scalar is None:
            return {}
        if node.kind != "map":
            return self.problem(node, f"{_name(at)}a mapping is wanted; found {node.told}.")
        built = {}
        for key, value in node.pairs:
            word = self.build(key, shape.key, at)
            if word is NOT_BUILT:
                continue
            inner = f"{at}.{word}"
            if isinstance(shape.item, Record):
                item = self._record(value, shape.item.cls, inner, word)
            else:
                item = self.build(value, shape.item, inner)
            if item is not NOT_BUILT:
                built[word] = item
        return built

    def _nested(self, node: Node, shape: Record, at: str) -> Any:
        return self._record(node, shape.cls, at, "")

    def _either(self, node: Node, shape: Either, at: str) -> Any:
        keys = {key.scalar for key, _ in node.pairs}
        for option in shape.options:
            if keys & {part.key for part in option.parts}:
                return self._nested(node, option, at)
        known = ", ".join(part.key for option in shape.options for part in option.parts)
        return self.problem(node, f"{_name(at)}none of the keys {known} stands here.")

    def _record(self, node: Node, cls: Any, at: str, name: str) -> Any:
        if node.kind == "scalar" and node.scalar is None:
            node = Node(node.line, "map")
        if node.kind != "map":
            return self.problem(node, f"{_name(at)}a mapping is wanted; found {node.told}.")
        parts = parts_by_key(cls)
        values: dict[str, Any] = {}
        whole = True
        for key, value in node.pairs:
            word = str(key.scalar)
            if word == "basis" and "basis" not in parts:
                self._note_basis(value, at)
                continue
            if word not in parts:
                self.problem(key, f"{_name(at)}unknown key '{word}'.", _key_hint(word, parts))
                continue
            built = self.build(value, parts[word].shape, f"{at}.{word}" if at else word)
            whole = whole and built is not NOT_BUILT
            values[parts[word].name] = built
        if not at and "" not in self._basis:
            keys = {str(key.scalar) for key, _ in node.pairs}
            stated = {kind: words for kind, words in self.stated.items() if kind in keys}
            self._basis = stated | self._basis
        for part in parts.values():
            if part.required and part.name not in values:
                self.problem(node, f"{_name(at)}the key '{part.key}' is missing.")
                whole = False
        return self._make(node, cls, values, name) if whole else NOT_BUILT

    def _make(self, node: Node, cls: Any, values: dict[str, Any], name: str) -> Any:
        fields = cls.__dataclass_fields__
        if "origin" in fields:
            values["origin"] = self.origin(node)
        if issubclass(cls, Entry):
            values["id"] = name
            values["basis"] = dict(self._basis)
        try:
            return cls(**values)
        except ValueError as error:
            return self.problem(node, f"{error}.")


def _name(at: str) -> str:
    """The place within an entry, as the beginning of a message."""
    return f"{at}: " if at else ""


def _key_hint(word: str, known: Iterable[str]) -> str:
    """What may have been meant by an unknown key; several words are hardly one."""
    if " " in word:
        return "A comma ends a text inside {...}: put quotes around the text."
    return nearest(word, known)
