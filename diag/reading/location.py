"""Where the knowledge is: the shipped book, or a folder that the user names."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path

from diag.errors import BenchtrailError
from diag.model.nearest import nearest

FAMILY_FILE = "family.yaml"
SOURCES_FILE = "sources.yaml"


def shipped() -> Path:
    """The folder of the shipped knowledge: inside an installed package, else in the checkout."""
    package = Path(str(files("diag")))
    inside = package / "_knowledge"
    return inside if inside.is_dir() else package.parent / "knowledge"


def families(root: Path) -> tuple[str, ...]:
    """The families of a knowledge folder, by name of their folder."""
    if (root / FAMILY_FILE).is_file():
        return (root.name,)
    if not root.is_dir():
        return ()
    return tuple(sorted(p.name for p in root.iterdir() if (p / FAMILY_FILE).is_file()))


def family_folder(root: Path, family: str) -> Path:
    """The folder of one family; `root` may be a folder of families or that family's own.

    Raises:
        BenchtrailError: there is no such family there; names the nearest that is.
    """
    if (root / family / FAMILY_FILE).is_file():
        return root / family
    if (root / FAMILY_FILE).is_file():
        return root
    known = families(root)
    do = nearest(family, known) or "Name a folder that has a family.yaml in it or one below."
    raise BenchtrailError(f"there is no family '{family}'.", where=str(root), do=do)


def family_files(folder: Path) -> Iterator[Path]:
    """Every YAML file of a family: family.yaml first, the others in order of their path."""
    yield folder / FAMILY_FILE
    for path in sorted(folder.rglob("*.yaml")):
        if path.name not in (FAMILY_FILE, SOURCES_FILE):
            yield path


def sources_file(folder: Path) -> Path | None:
    """The list of published sources that serves a family: its own, or the one beside it."""
    for place in (folder / SOURCES_FILE, folder.parent / SOURCES_FILE):
        if place.is_file():
            return place
    return None
