"""What a family that takes over another leaves out of it, by its own word."""

from __future__ import annotations

from collections.abc import Iterator

from diag.model.nearest import nearest
from diag.reading.draft import SECTIONS, Draft, TakesFrom

Named = tuple[str, str]
"""Section and id of an entry."""

OF_A_FILE = ("causes", "checks", "remedies", "symptoms", "walks", "rules")
"""What goes with its file. All else in the file goes once nothing needs it."""


def left_out(item: TakesFrom, taken: Draft, own: Draft) -> frozenset[Named]:
    """The entries that an item of `takes_from` leaves out; names that fit nothing are problems.

    Args:
        item: what is taken over and what is left out.
        taken: the family that is taken over.
        own: the family that takes over; its findings get the problems.
    """
    places = dict(_places(item.family, taken))
    found: set[Named] = set()
    for name in item.leaves_out:
        section, _, entry = name.partition(".")
        place = name.removesuffix("/")
        if section in SECTIONS and (section, entry) in taken.origins:
            found.add((section, entry))
        elif place in places:
            found |= places[place]
        else:
            known = [".".join(key) for key in taken.origins] if section in SECTIONS else [*places]
            text = f"leaves_out: {item.family} has no '{name}'."
            do = nearest(name, sorted(known)) or "Name a folder, a file or section.id of it."
            own.findings.problem(item.origin, text, do)
    return frozenset(found)


def _places(family: str, taken: Draft) -> Iterator[tuple[str, set[Named]]]:
    """Each file and folder of the family, with the entries that go with it."""
    found: dict[str, set[Named]] = {}
    for path in taken.files:
        for place in _ways(path.partition(f"{family}/")[2]):
            found.setdefault(place, set())
    for named, at in taken.origins.items():
        if named[0] in OF_A_FILE:
            # What a user changes stays where it was; only new entries bring a place of their own.
            path = taken.replaced.get(named, at).path
            for place in _ways(path.partition(f"{family}/")[2]):
                found.setdefault(place, set()).add(named)
    return iter(found.items())


def _ways(path: str) -> Iterator[str]:
    """A file and every folder that it is in: `a/b.yaml`, `a`."""
    while path:
        yield path
        path = path.rpartition("/")[0]
