"""The heads of families, read alone: a whole book takes a hundred times as long."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from diag.reading.location import FAMILY_FILE, families, find
from diag.reading.yaml_nodes import read_yaml


@dataclass(frozen=True, slots=True)
class Head:
    """What a family is called, the kind of machine in words, and whether it takes over another."""

    family: str
    says: str
    takes_over: bool


def read_heads(root: Path, additions: Path | None = None) -> tuple[Head, ...]:
    """The heads of the families of a folder and of the additions, by name.

    One that can't be read takes over nothing and is called by its name: reading its book tells
    what is wrong.
    """
    names = families(root, additions)
    return tuple(_head(name, find(root, name, additions)[1]) for name in names)


def first_families(root: Path, additions: Path | None = None) -> tuple[str, ...]:
    """The families of a folder and of the additions that take over from no other, by name."""
    return tuple(head.family for head in read_heads(root, additions) if not head.takes_over)


def _head(name: str, folder: Path) -> Head:
    tree, _ = read_yaml(folder / FAMILY_FILE, FAMILY_FILE)
    values = {key.scalar: value for key, value in tree.pairs} if tree is not None else {}
    says, taken = values.get("says"), values.get("takes_from")
    said = says.scalar if says is not None and isinstance(says.scalar, str) else name
    return Head(name, said, bool(taken and taken.items))
