"""Where the knowledge is: a shipped or named folder of families, and the user's additions to it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from diag.errors import BenchtrailError, Problem
from diag.model.figures import ADDITIONS
from diag.model.nearest import nearest

FAMILY_FILE = "family.yaml"
SOURCES_FILE = "sources.yaml"
TEST_TAPES = "test_tapes"
SPECIFICATIONS = "specifications"
BESIDE_FAMILIES = (TEST_TAPES, SPECIFICATIONS)
"""Folders beside the families that hold no book."""


def shipped() -> Path:
    """The folder of the shipped knowledge: inside an installed package, else in the checkout."""
    package = Path(str(files("diag")))
    inside = package / "_knowledge"
    return inside if inside.is_dir() else package.parent / "knowledge"


def shipped_cases() -> Path | None:
    """The folder of the worked cases that the shipped books are held against, if it came along."""
    package = Path(str(files("diag")))
    places = (package / "_worked_cases", package.parent / "tests" / "worked_cases")
    return next((place for place in places if place.is_dir()), None)


def families(root: Path, additions: Path | None = None) -> tuple[str, ...]:
    """The families of a knowledge folder and of the additions, by name of their folder."""
    if (root / FAMILY_FILE).is_file():
        return (root.resolve().name,)
    found: set[str] = set()
    for place in (root, additions):
        if place is not None and place.is_dir():
            found |= {p.name for p in place.iterdir() if (p / FAMILY_FILE).is_file()}
    return tuple(sorted(found))


def family_files(folder: Path) -> Iterator[Path]:
    """Every YAML file of a family: family.yaml first, the others in order of their path."""
    if (folder / FAMILY_FILE).is_file():
        yield folder / FAMILY_FILE
    for path in sorted(folder.rglob("*.yaml")):
        if path.name not in (FAMILY_FILE, SOURCES_FILE):
            yield path


@dataclass(frozen=True, slots=True)
class Library:
    """A folder of families, and the user's own folder that is laid over it, if there is one."""

    root: Path
    additions: Path | None = None

    def folder(self, family: str) -> Path:
        """The folder of a family: that of the root, else a family among the additions.

        Raises:
            BenchtrailError: there is no such family; names the nearest that is.
        """
        for place in (self.root, self.additions):
            if place is not None and (place / family / FAMILY_FILE).is_file():
                return place / family
        known = families(self.root, self.additions)
        do = nearest(family, known) or "Name a folder that has a family.yaml in it or one below."
        raise BenchtrailError(f"there is no family '{family}'.", where=str(self.root), do=do)

    def added(self, folder: Path) -> Path | None:
        """The additions to the family of a folder, if there are any."""
        own = self.additions and self.additions / folder.name
        return own if own and own.is_dir() and own != folder else None

    def is_added(self, folder: Path) -> bool:
        """Whether a family as a whole is one of the user's own."""
        return folder.parent == self.additions

    def shown(self, path: Path) -> str:
        """How a file is called in problems and origins."""
        if self.additions is not None and path.is_relative_to(self.additions):
            return f"{ADDITIONS}/{path.relative_to(self.additions)}"
        return str(path.relative_to(self.root))

    def sources(self, folder: Path) -> tuple[Path, ...]:
        """Every list of published sources that serves the family of a folder, own ones last."""
        places = [self.root, folder]
        if self.additions is not None:
            places += [self.additions, self.additions / folder.name]
        paths = dict.fromkeys(place / SOURCES_FILE for place in places)
        return tuple(path for path in paths if path.is_file())


def strays(root: Path, additions: Path) -> tuple[Problem, ...]:
    """Folders of additions that belong to no family."""
    known = families(root, additions)
    places = (*known, *BESIDE_FAMILIES)
    return tuple(
        Problem(
            f"{ADDITIONS}/{path.name}",
            1,
            f"there is no family '{path.name}' to add this to.",
            nearest(path.name, known) or f"Give it a {FAMILY_FILE} of its own.",
        )
        for path in sorted(additions.iterdir())
        if path.is_dir() and path.name not in places and any(path.rglob("*.yaml"))
    )


def find(root: Path, family: str, additions: Path | None = None) -> tuple[Library, Path]:
    """The library, and in it the folder of a family; `root` may be that folder itself.

    Raises:
        BenchtrailError: there is no such family.
    """
    is_one = (root / FAMILY_FILE).is_file()
    library = Library(root.resolve().parent if is_one else root, additions)
    try:
        return library, library.folder(family)
    except BenchtrailError:
        if is_one:  # a folder named outright may have any name
            return library, root.resolve()
        raise
