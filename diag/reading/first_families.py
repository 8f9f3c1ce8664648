"""Which families stand on their own."""

from __future__ import annotations

from pathlib import Path

from diag.reading.location import FAMILY_FILE, families, find
from diag.reading.yaml_nodes import read_yaml


def first_families(root: Path, additions: Path | None = None) -> tuple[str, ...]:
    """The families of a folder and of the additions that take over from no other, by name.

    A head that can't be read counts as one of them: reading its book tells what is wrong.
    """
    folders = {name: find(root, name, additions)[1] for name in families(root, additions)}
    return tuple(name for name, folder in folders.items() if not _takes_over(folder))


def _takes_over(folder: Path) -> bool:
    tree, _ = read_yaml(folder / FAMILY_FILE, FAMILY_FILE)
    pairs = tree.pairs if tree is not None else ()
    return any(key.scalar == "takes_from" and value.items for key, value in pairs)
