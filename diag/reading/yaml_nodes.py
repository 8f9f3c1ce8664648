"""YAML text to a tree of values that know their line. The only module that imports yaml.

Follows the core schema of YAML 1.2 (yes, no, on and off are plain words), where PyYAML's own
resolver follows 1.1. Refuses tags, keys given twice, control characters, anchors that expand
without bound, deep nesting and large files.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

import yaml

from diag.errors import KnowledgeError, Problem

MAX_BYTES = 1 << 20
MAX_NODES = 200_000
MAX_DEPTH = 40

Scalar = str | int | float | bool | None

# The C parser is some ten times faster; it is missing only where PyYAML was built without libyaml.
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
PARSER = f"{yaml.__version__} {_LOADER.__name__}"
"""Which parser reads here."""

_BEGINS: Mapping[type, str] = {yaml.SequenceStartEvent: "list", yaml.MappingStartEvent: "map"}
_ENDS = frozenset({yaml.SequenceEndEvent, yaml.MappingEndEvent})

_CONSTANTS: Mapping[str, bool | None] = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL")),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
}
_NUMBER_BEGINS = frozenset("+-.0123456789")
_INT = re.compile(r"[-+]?[0-9]+")
_BASED = re.compile(r"0o[0-7]+|0x[0-9a-fA-F]+")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_INFINITE = re.compile(r"([-+]?)\.(inf|Inf|INF)")
_NAN = re.compile(r"\.(nan|NaN|NAN)")
# What YAML 1.2.2 (section 5.1) does not allow in a file.
_UNPRINTABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
# What an escape in quotes may smuggle in: control characters but tabs and line ends, and those
# that turn the direction of writing.
_CONTROL = re.compile("[^\t\n\x20-\x7e\xa0-\u200d\u2010-\u2029\u202f-\u2065\u206a-\U0010ffff]")


class Node(NamedTuple):
    """One YAML value: a scalar, a list (`items`) or a mapping (`pairs`). `line` counts from 1."""

    line: int
    kind: str
    scalar: Scalar = None
    items: tuple[Node, ...] = ()
    pairs: tuple[tuple[Node, Node], ...] = ()
    size: int = 1

    @property
    def told(self) -> str:
        """What stands here, in words, for a message."""
        if self.kind == "scalar":
            return "nothing" if self.scalar is None else repr(self.scalar)[:60]
        return "a list" if self.kind == "list" else "a mapping"


@dataclass(slots=True)
class _Open:
    """A list or mapping whose end has not come yet."""

    kind: str
    line: int
    anchor: str | None
    children: list[Node]


def read_yaml(path: Path, shown: str) -> tuple[Node | None, tuple[Problem, ...]]:
    """Read one file.

    Args:
        path: the file.
        shown: how the file is called in problems.

    Returns:
        The tree (None for an empty file, or where it could not be built) and every problem.
    """
    try:
        if path.stat().st_size > MAX_BYTES:
            found = f"the file has {path.stat().st_size:,} bytes; {MAX_BYTES:,} are allowed."
            return None, (Problem(shown, 1, found, "Split it into one file a part."),)
        raw = path.read_bytes()
    except OSError as error:
        found = f"the file can't be read: {error.strerror or error}."
        return None, (Problem(shown, 1, found, "Check that it exists and may be read."),)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        return None, (Problem(shown, line, "this is not UTF-8 text.", "Save it as UTF-8."),)
    return parse(text, shown)


def parse(text: str, shown: str) -> tuple[Node | None, tuple[Problem, ...]]:
    """The same for a text that is already at hand."""
    builder = _Builder(shown)
    if wrong := _UNPRINTABLE.search(text):
        line = text[: wrong.start()].count("\n") + 1
        builder.problem(line, f"a control character (code {ord(wrong.group())}).", "Delete it.")
        return None, tuple(builder.problems)
    try:
        for event in yaml.parse(text, Loader=_LOADER):
            builder.take(event)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line = mark.line + 1 if mark else 1
        what = error.problem or error.context or "it can't be read"
        builder.problem(line, f"this is not YAML: {what}.", "Check indents, quotes and brackets.")
    except yaml.YAMLError as error:
        builder.problem(1, f"this is not YAML: {error}.", "Check that it is a knowledge file.")
    except KnowledgeError as error:
        return None, error.problems
    return builder.root, tuple(builder.problems)


class _Builder:
    """Puts nodes together from parser events, without recursion."""

    def __init__(self, shown: str) -> None:
        self.shown = shown
        self.problems: list[Problem] = []
        self.root: Node | None = None
        self._open: list[_Open] = []
        self._anchors: dict[str, Node] = {}

    def problem(self, line: int, found: str, do: str = "") -> None:
        self.problems.append(Problem(self.shown, line, found, do))

    def give_up(self, line: int, found: str, do: str) -> None:
        """Stop here: going on would cost memory or the stack."""
        raise KnowledgeError((*self.problems, Problem(self.shown, line, found, do)))

    def take(self, event: Any) -> None:
        """Handle one event of the parser."""
        line = event.start_mark.line + 1 if event.start_mark else 1
        if tag := getattr(event, "tag", None):
            self.problem(line, f"a tag ({tag}) stands here.", "Knowledge files have no tags.")
        kind = type(event)
        if kind is yaml.ScalarEvent:
            self._add(Node(line, "scalar", self._scalar(event, line)), event.anchor)
        elif kind is yaml.AliasEvent:
            self._add(self._alias(str(event.anchor), line), None)
        elif kind in _BEGINS:
            self._open.append(_Open(_BEGINS[kind], line, event.anchor, []))
            if len(self._open) > MAX_DEPTH:
                self.give_up(line, f"nested deeper than {MAX_DEPTH} levels.", "Flatten it.")
        elif kind in _ENDS:
            done = self._open.pop()
            self._add(self._collection(done), done.anchor)

    def _add(self, node: Node, anchor: str | None) -> None:
        if anchor is not None:
            self._anchors[anchor] = node
        if self._open:
            self._open[-1].children.append(node)
        elif self.root is None:
            self.root = node
        else:
            self.problem(node.line, "a second document begins here.", "Put it in its own file.")

    def _alias(self, name: str, line: int) -> Node:
        target = self._anchors.get(name)
        if target is None:
            self.give_up(line, f"*{name} refers to itself or to no anchor.", "Write it out.")
        assert target is not None
        return target

    def _collection(self, done: _Open) -> Node:
        size = 1 + sum(child.size for child in done.children)
        if size > MAX_NODES:
            self.give_up(
                done.line, f"this expands to more than {MAX_NODES:,} values.", "Write it out."
            )
        if done.kind == "list":
            return Node(done.line, "list", items=tuple(done.children), size=size)
        pairs = tuple(zip(done.children[::2], done.children[1::2], strict=True))
        return Node(done.line, "map", pairs=tuple(self._once(pairs)), size=size)

    def _once(self, pairs: tuple[tuple[Node, Node], ...]) -> Iterator[tuple[Node, Node]]:
        first: dict[str, int] = {}
        for key, value in pairs:
            if key.kind != "scalar" or key.scalar is None:
                self.problem(key.line, f"a key must be a word; found {key.told}.")
                continue
            word = str(key.scalar)
            if word in first:
                found = f"the key '{word}' is given twice (first in line {first[word]})."
                self.problem(key.line, found, "Keep one of the two.")
                continue
            first[word] = key.line
            # An entry stands where its key does; the parser has the line of its first own key.
            yield key, value if value.kind == "scalar" else value._replace(line=key.line)

    def _scalar(self, event: yaml.ScalarEvent, line: int) -> Scalar:
        text: str = event.value
        if wrong := _CONTROL.search(text):
            found = f"a control character (code {ord(wrong.group())})."
            self.problem(line, found, "Delete it.")
            return ""
        # Only a plain scalar without a tag is looked at; a quoted one is text.
        return core_value(text) if event.implicit[0] and not event.style else text


def core_value(text: str) -> Scalar:
    """The value of a plain scalar in the core schema (YAML 1.2.2, section 10.3.2)."""
    if text in _CONSTANTS:
        return _CONSTANTS[text]
    if text[0] not in _NUMBER_BEGINS:
        return text
    if _INT.fullmatch(text) and len(text) < 100:
        return int(text)
    if _BASED.fullmatch(text):
        return int(text, 0)
    if _FLOAT.fullmatch(text):
        return float(text)
    if found := _INFINITE.fullmatch(text):
        return float(found.group(1) + "inf")
    return float("nan") if _NAN.fullmatch(text) else text
