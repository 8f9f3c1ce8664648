"""Specifications of decks: one YAML file each, shipped or the user's own."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from diag.errors import SpecificationError
from diag.model.advice import UNPUBLISHED
from diag.model.figures import Origin
from diag.model.nearest import nearest
from diag.model.sizes import SIZES, size_trouble
from diag.model.specification import Specification
from diag.model.units import BY_SYMBOL
from diag.reading.build import Findings
from diag.reading.location import SOURCES_FILE, SPECIFICATIONS
from diag.reading.lone_file import file_named, files_in, read_lone
from diag.reading.yaml_nodes import Node, read_yaml

FALLBACK = "din_45500"
"""The one to take where nobody knows what the maker promised."""


def known_specifications(root: Path, additions: Path | None = None) -> Mapping[str, Path]:
    """The files of specifications by name; one among the additions replaces a shipped one."""
    return files_in(SPECIFICATIONS, root, additions)


def find_specification(root: Path, name: str, additions: Path | None = None) -> Specification:
    """A specification by its name, or by the path of its file.

    Raises:
        BenchtrailError: there is none of that name; names the nearest that there is.
        SpecificationError: its file has problems.
    """
    path = file_named(name, known_specifications(root, additions), "specification")
    return read_specification(path, root)


def read_specification(path: Path, root: Path) -> Specification:
    """The specification in a file.

    Args:
        path: the file.
        root: the folder whose list of published sources it refers to.

    Raises:
        SpecificationError: with every problem of the file.
    """
    return read_lone(path, Specification, SpecificationError, _sources(root), _check)


def _check(found: Specification, tree: Node, findings: Findings) -> None:
    if not found.limits:
        findings.problem(found.origin, "it has no limits.", "Write them under `limits:`.")
    for limit in found.limits.values():
        if limit.unit not in BY_SYMBOL:
            told = f"'{limit.unit}' is no unit that is known here."
            findings.problem(limit.origin, told, nearest(limit.unit, BY_SYMBOL))
    _check_sizes(found, tree, findings)


def _check_sizes(found: Specification, tree: Node, findings: Findings) -> None:
    """Each size with the line in which it stands."""
    given = next((node.pairs for key, node in tree.pairs if key.scalar == "sizes"), ())
    lines = {str(key.scalar): Origin(found.origin.path, key.line) for key, _ in given}
    for name, value in found.sizes.items():
        if name not in SIZES:
            findings.problem(lines[name], f"'{name}' is no size of a deck.", nearest(name, SIZES))
        elif trouble := size_trouble(name, value):
            findings.problem(lines[name], *trouble)


def _sources(root: Path) -> tuple[str, ...]:
    """Ids of published sources, and the two for what wasn't published."""
    path = root / SOURCES_FILE
    tree = read_yaml(path, str(path))[0] if path.is_file() else None
    entries: Node = tree or Node(1, "map")
    named = [
        str(name.scalar)
        for key, node in entries.pairs
        for name, _ in (node.pairs if key.scalar == "sources" else ())
    ]
    return (*named, *UNPUBLISHED)
