"""What a plan costs on a small deck, by its decision tree and not by sampling.

The plan is asked what comes first; every answer that may be given is followed with its chance.
Histories that come to the same (belief, open layers, remedies that may be done, whether the test
stands) are followed once; answers that the belief already holds make no difference to a plan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from heapq import heappop, heappush

import numpy as np
import pytest
from exact_world import TEST, Floats, World

from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.history import Given, History, Mended, Opened, Step
from diag.model.trait import Deck
from diag.planning.next_step import NextStep
from diag.planning.open_questions import answers, open_remedies
from diag.planning.policy import next_steps
from diag.planning.situation import Situation

DECK = Deck(age_years=0.0)
START, PASSED = Given(TEST, "bad"), Given(TEST, "good")
LONGEST = 200
"""Steps after which no deck is left."""
FAR = 1e-6
"""Histories that are less likely count as if the faults were known from there on."""

Planner = Callable[[Situation], tuple[NextStep, ...]]


@dataclass(eq=False)
class Node:
    """A point of the plan: what is done there, its own minutes, and where it leads.

    `visits` is how often a deck is expected to come by. A deck is `given_up` where nothing that is
    left to do can tell more, as after repairs that failed as often as they are offered.
    """

    belief: Floats
    opened: int
    history: History
    step: NextStep | None = None
    minutes: float = 0.0
    branches: list[tuple[float, str, object]] = field(default_factory=list)
    visits: float = 0.0
    given_up: bool = False


class Walk:
    """One plan through one world.

    A deck that is given up counts as if its faults were known from there on.

    Raises:
        AssertionError: an exact posterior is not the belief, or the plan goes in circles.
    """

    def __init__(self, world: World, planner: Planner = next_steps) -> None:
        self.world = world
        self.planner = planner
        self.nodes: dict[object, Node] = {}
        self.root = self._node(world.start, 0, History((), (START,)))
        self._follow()
        self._count_visits()

    @property
    def minutes(self) -> float:
        """Expected minutes from the failed final test to the passed one."""
        return sum(node.visits * node.minutes for node in self.nodes.values())

    @property
    def given_up(self) -> float:
        """The share of decks that it gives up."""
        return sum(node.visits for node in self.nodes.values() if node.given_up)

    def told(self, least: float = 0.2) -> str:
        """The likelier part of the plan: a line a step, with its chance."""
        lines = []
        waiting: list[tuple[float, str, object]] = [(1.0, "", self.root)]
        while waiting:
            chance, said, key = waiting.pop()
            node = self.nodes[key]
            if node.step and chance >= least:
                lines.append(f"  {chance:4.2f} {said:5} {node.step.id}")
                waiting += [(chance * share, word, after) for share, word, after in node.branches]
        return "\n".join(lines)

    def _follow(self) -> None:
        """Decide at every node, the likeliest first."""
        waiting = [(-1.0, 0, self.root)]
        decided = set()
        while waiting:
            chance, _, key = heappop(waiting)
            if key in decided:
                continue
            decided.add(key)
            node = self.nodes[key]
            if -chance < FAR:
                self._leave(node)
                continue
            self._decide(node)
            if all(after == key for *_, after in node.branches) and not self._is_well(node):
                node.given_up = True
                self._leave(node)
                continue
            for share, _, after in node.branches:
                heappush(waiting, (chance * share, len(self.nodes) + len(waiting), after))

    def _count_visits(self) -> None:
        mass = {self.root: 1.0}
        for _ in range(LONGEST):
            following: dict[object, float] = {}
            for key, chance in mass.items():
                self.nodes[key].visits += chance
                for share, _, after in self.nodes[key].branches:
                    following[after] = following.get(after, 0.0) + chance * share
            mass = following
        assert sum(mass.values()) < 1e-9, "the plan goes in circles"

    def _node(self, belief: Floats, opened: int, history: History) -> object:
        alike = (
            np.round(belief, 9).tobytes(),
            opened,
            open_remedies(self.world.book, DECK, history, _done(history)),
            TEST in answers(self.world.book, history).standing,
            history.steps[-1] == PASSED,
        )
        self.nodes.setdefault(alike, Node(belief, opened, history))
        return alike

    def _leave(self, node: Node) -> None:
        """Go no further: from here on, the faults count as known."""
        node.branches = []
        node.minutes = float(node.belief @ self.world.foreseen[:, node.opened])

    def _is_well(self, node: Node) -> bool:
        return node.history.steps[-1] == PASSED

    def _decide(self, node: Node) -> None:
        steps = self.planner(self._situation(node))
        assert not (steps and self._is_well(node)), "the plan ends when the final test is passed"
        if not steps:
            return
        step = node.step = steps[0]
        way = self.world.way[step.id]
        node.minutes = step.minutes + self.world.opening(node.opened, way)
        opened = 0 if step.id == TEST else node.opened | way
        past = History((), (*node.history.steps, *self._openings(way & ~node.opened)))
        for share, said, belief in self._outcomes(node.belief, step):
            done: Step = Mended(step.id) if step.kind == "remedy" else Given(step.id, said)
            after = self._node(belief, opened, History((), (*past.steps, done)))
            node.branches.append((share, said, after))

    def _outcomes(self, belief: Floats, step: NextStep) -> Iterator[tuple[float, str, Floats]]:
        if step.kind == "remedy":
            cause = list(self.world.book.causes).index(self.world.book.mends[step.id][0])
            yield 1.0, "", self.world.mended(belief, cause)
            return
        bad = self.world.bad[step.id]
        for said, possible in (("bad", bad), ("good", 1.0 - bad)):
            share = float(belief @ possible)
            if share > 1e-12:
                yield share, said, belief * possible / share

    def _openings(self, way: int) -> list[Opened]:
        names = [name for name in self.world.book.layers if name != "outside"]
        return [Opened(name) for n, name in enumerate(names) if way >> n & 1]

    def _situation(self, node: Node) -> Situation:
        book = self.world.book
        net = network(book, DECK, node.history)
        now = solve(net)
        mine = dict(zip(book.causes, self.world.there(node.belief), strict=True))
        if now.bounds is None:
            assert now.causes == pytest.approx(mine, abs=1e-9), (
                "the engine's posterior is the belief"
            )
        layers = tuple(step.layer for step in self._openings(node.opened))
        return Situation(
            book, DECK, node.history, net, now, layers, frozenset(), _done(node.history)
        )


def _done(history: History) -> frozenset[str]:
    return frozenset(step.remedy for step in history.steps if isinstance(step, Mended))
