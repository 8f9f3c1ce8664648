"""Which families stand on their own."""

from __future__ import annotations

from pathlib import Path

from diag.reading.location import FAMILY_FILE, families, family_folder
from diag.reading.yaml_nodes import read_yaml


def first_families(root: Path) -> tuple[str, ...]:
    """The families of a folder that take over from no other, by name.

    A head that can't be read counts as one of them: reading its book tells what is wrong.
    """
    return tuple(name for name in families(root) if not _takes_over(family_folder(root, name)))


def _takes_over(folder: Path) -> bool:
    tree, _ = read_yaml(folder / FAMILY_FILE, FAMILY_FILE)
    pairs = tree.pairs if tree is not None else ()
    return any(key.scalar == "takes_from" and value.items for key, value in pairs)
