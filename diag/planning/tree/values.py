"""A compiled tree as a value; renderers and screens only lay it out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from diag.model.book import Book
from diag.model.trait import Deck
from diag.planning.next_step import NextStep

DEPTH = 5
"""Steps on the longest path unless somebody asks for more; a deeper tree fills walls."""
DEEPEST = 12
"""The deepest tree that is made."""

Ends = Literal["mend", "test", "nothing", "depth", "faint"]
"""Why a path ends: a cause is all but sure and its repair comes next; the final test comes next;
nothing left is worth its minutes; the depth that was asked for; too few decks come this way."""


@dataclass(frozen=True, slots=True)
class Chance:
    """A cause or an answer, by its id, with its probability."""

    id: str
    probability: float


@dataclass(frozen=True, slots=True)
class Leaf:
    """Where a path ends.

    `minutes` are all that were spent on the way, the closing of what was opened among them;
    `chance` is that of the whole path. `ranking` has the first causes of those that can show the
    complaint or a sign that was found, most probable first. `step` is what comes next, if
    anything is worth it, and `cautions` stand before it.
    """

    minutes: float
    chance: float
    ranking: tuple[Chance, ...]
    ends: Ends
    step: NextStep | None
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Branch:
    """An answer's chance, and where it leads; `answer` is empty where a repair is done."""

    answer: str
    chance: float
    to: Node | Leaf


@dataclass(frozen=True, slots=True)
class Node:
    """A step, with the `minutes` spent before it and the `chance` of the path that leads to it.

    `cautions` stand before the step, those of the layers on its way included. `rare` has the
    answers that are too unlikely to be followed; with them, the chances of a check add up to 1.
    """

    step: NextStep
    minutes: float
    chance: float
    cautions: tuple[str, ...]
    branches: tuple[Branch, ...]
    rare: tuple[Chance, ...] = ()

    def every_end(self) -> Iterator[Leaf]:
        """The leaves below, from left to right."""
        for branch in self.branches:
            if isinstance(branch.to, Leaf):
                yield branch.to
            else:
                yield from branch.to.every_end()

    def every_node(self) -> Iterator[Node]:
        """This step and all below it, depth first."""
        yield self
        for branch in self.branches:
            if isinstance(branch.to, Node):
                yield from branch.to.every_node()


@dataclass(frozen=True, kw_only=True)
class Tree:
    """What to do about one complaint, for any deck with these traits.

    `depth` is the longest path in steps that was asked for.
    """

    book: Book
    deck: Deck
    symptom: str
    depth: int
    root: Node | Leaf

    @property
    def nodes(self) -> tuple[Node, ...]:
        """Every step."""
        return () if isinstance(self.root, Leaf) else tuple(self.root.every_node())

    @property
    def leaves(self) -> tuple[Leaf, ...]:
        """Every end."""
        return (self.root,) if isinstance(self.root, Leaf) else tuple(self.root.every_end())
