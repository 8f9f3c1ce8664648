"""The fewest expected minutes to a passed final test on a small deck, exactly.

A decision problem over beliefs and open layers: inspect, ask, mend, or close the deck and test.
The beliefs that can be reached are listed first, with every action that is not dominated; then
values grow from zero until no belief can better them, which also settles what returns to itself
(a repair that fails over and over). A belief that no plan reaches with a chance of `REMOTE` counts
as if the faults were known there. Values so never lie above the optimum.

Left out, because something else is at least as good whatever comes later:
- asking what is known;
- leaving a fault that is known to be there: no test is passed before it was mended, layers stay
  open until the test, and what is asked later tells more once it is mended. So it is mended at
  once, and what follows is taken together with the answer that gave it away;
- mending without a look where looking first is no dearer: look + p * mend <= mend;
- the test where it is known to fail.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from heapq import heappop, heappush

import numpy as np
from exact_world import TEST, Floats, World
from numpy.typing import NDArray

SURE = 1.0 - 1e-9
"""A chance above it is one, and below one less it is none."""
SETTLED = 1e-6
"""Minutes of change at which the values stand."""
REMOTE = 5e-3
"""Where repairs may fail, the list of beliefs has no end; where they hold, nothing is cut off."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """A belief after an action, by number, once the faults that came to light are mended."""

    chance: float
    belief: int
    minutes: float = 0.0
    way: int = 0


@dataclass(frozen=True, slots=True)
class Action:
    """What may be done at a belief: its minutes, the layers that it needs, and its outcomes."""

    step: str
    minutes: float
    way: int
    outcomes: tuple[Outcome, ...]


@dataclass(eq=False)
class Optimum:
    """The solution from the start of a world, and from other beliefs if they are given."""

    world: World
    others: Sequence[Floats] = ()
    actions: dict[int, tuple[Action, ...]] = field(default_factory=dict)
    _numbers: dict[bytes, int] = field(default_factory=dict)
    _beliefs: list[Floats] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Number the passed test as belief 0, list all beliefs, and settle their values."""
        self._is_sure = all(remedy.cures == 1.0 for remedy in self.world.book.remedies.values())
        self._number(np.zeros(len(self.world.start)))
        self.first = self._settled(self.world.start)
        self.also = [self._settled(belief) for belief in self.others]
        self._expand({outcome.belief for outcome in (self.first, *self.also)})
        self.values = self._values()

    @property
    def minutes(self) -> float:
        """Expected minutes from the closed deck that failed its test."""
        return self.first.minutes + self.after(0, self.first)

    def value(self, belief: int, opened: int) -> float:
        """Expected minutes from a belief with these layers open."""
        return float(self.values[belief, opened])

    def after(self, opened: int, outcome: Outcome) -> float:
        """Expected minutes from an outcome on: opening what it needs, and all that follows."""
        way = self.world.opening(opened, outcome.way)
        return way + self.value(outcome.belief, opened | outcome.way)

    def cost(self, action: Action, opened: int) -> float:
        """Expected minutes of an action and of all that follows."""
        then = 0 if action.step == TEST else opened | action.way
        found = action.minutes + self.world.opening(opened, action.way)
        for outcome in action.outcomes:
            found += outcome.chance * (outcome.minutes + self.after(then, outcome))
        return found

    def best(self, belief: int, opened: int) -> Action:
        """The best action; the deck must not have passed its test."""
        return min(self.actions[belief], key=lambda action: self.cost(action, opened))

    def told(self, least: float = 0.2) -> str:
        """The likelier part of the best plan, as `Walk.told` tells the planner's."""
        lines = []
        waiting = [(0, self.first)]
        while waiting:
            opened, outcome = waiting.pop()
            if outcome.belief not in self.actions or outcome.chance < least:
                continue
            opened |= outcome.way
            action = self.best(outcome.belief, opened)
            lines.append(f"  {outcome.chance:4.2f}       {action.step}")
            then = 0 if action.step == TEST else opened | action.way
            waiting += [
                (then, replace(after, chance=outcome.chance * after.chance))
                for after in action.outcomes
            ]
        return "\n".join(lines)

    def any_action(self, belief: Floats, step: str) -> Action:
        """Any action, dominated or not; where it leads must have been given in `others`."""
        if step in self.world.book.remedies:
            return self._mend(belief, list(self.world.book.remedies).index(step))
        return self._ask(belief, step)

    def _expand(self, roots: set[int]) -> None:
        """List the actions of every belief, those that can be met most often first."""
        waiting = [(-1.0, belief) for belief in sorted(roots)]
        while waiting:
            chance, belief = heappop(waiting)
            if belief in self.actions or not belief:
                continue
            if -chance < REMOTE and not self._is_sure:
                continue
            self.actions[belief] = tuple(self._possible(self._beliefs[belief]))
            for action in self.actions[belief]:
                for outcome in action.outcomes:
                    if outcome.belief not in self.actions:
                        heappush(waiting, (chance * outcome.chance, outcome.belief))

    def _number(self, belief: Floats) -> int:
        key = np.round(belief, 10).tobytes()
        if key not in self._numbers:
            self._numbers[key] = len(self._beliefs)
            self._beliefs.append(belief)
        return self._numbers[key]

    def _settled(self, belief: Floats, chance: float = 1.0) -> Outcome:
        """Mend all that is known to be there."""
        minutes, way = 0.0, 0
        while True:
            known = (self.world.there(belief) > SURE).nonzero()[0]
            if not known.size:
                return Outcome(chance, self._number(belief), minutes, way)
            for cause in known:
                remedy = self.world.remedy(cause)
                minutes += self.world.book.remedies[remedy].minutes
                way |= self.world.way[remedy]
                belief = self.world.mended(belief, cause)

    def _possible(self, belief: Floats) -> Iterator[Action]:
        there = self.world.there(belief)
        for check, bad in self.world.bad.items():
            chance = float(belief @ bad)
            if chance < SURE and (chance > 1 - SURE or check == TEST):
                yield self._ask(belief, check)
        for cause, p in enumerate(there):
            if p > 1 - SURE and not self._is_look_better(cause, p):
                yield self._mend(belief, cause)

    def _is_look_better(self, cause: int, p: float) -> bool:
        remedy = self.world.remedy(cause)
        look = self.world.book.checks[f"look_{list(self.world.book.causes)[cause]}"]
        mend = self.world.book.remedies[remedy]
        return look.at == mend.at and look.minutes + p * mend.minutes <= mend.minutes

    def _ask(self, belief: Floats, check: str) -> Action:
        outcomes = []
        for possible in (self.world.bad[check], 1.0 - self.world.bad[check]):
            chance = float(belief @ possible)
            if chance <= 1 - SURE:
                continue
            if check == TEST and not possible[-1]:
                outcomes.append(Outcome(chance, 0))
            else:
                outcomes.append(self._settled(belief * (possible / chance), chance))
        minutes = self.world.book.checks[check].minutes
        return Action(check, minutes, self.world.way[check], tuple(outcomes))

    def _mend(self, belief: Floats, cause: int) -> Action:
        remedy = self.world.remedy(cause)
        after = self._settled(self.world.mended(belief, cause))
        minutes = self.world.book.remedies[remedy].minutes
        return Action(remedy, minutes, self.world.way[remedy], (after,))

    def _values(self) -> Floats:
        """Values of every belief for every set of open layers, shape (beliefs, layer sets)."""
        laid = _laid(self)
        values = np.array(self._beliefs) @ self.world.foreseen
        while True:
            costs = laid.costs.copy()
            for chance, place in zip(laid.chances, laid.places, strict=True):
                costs += chance[:, None] * values.ravel()[place]
            grown = values.copy()
            grown[laid.beliefs] = np.minimum.reduceat(costs, laid.starts)
            if np.abs(grown - values).max() < SETTLED:
                return grown
            values = grown


@dataclass(frozen=True, eq=False)
class _Laid:
    """All actions of all beliefs in one row: constant minutes, chances and places of outcomes."""

    beliefs: NDArray[np.intp]
    starts: NDArray[np.intp]
    costs: Floats
    chances: tuple[Floats, Floats]
    places: tuple[NDArray[np.intp], NDArray[np.intp]]


def _laid(found: Optimum) -> _Laid:
    sets = np.arange(1 << len(found.world.round_trips))
    opening = np.array([[found.world.opening(o, way) for o in sets] for way in sets])
    flat = [action for actions in found.actions.values() for action in actions]
    counts = [len(actions) for actions in found.actions.values()]
    nothing = Outcome(0.0, 0)
    pairs = [(*action.outcomes, nothing)[:2] for action in flat]
    way = np.array([action.way for action in flat])
    test = np.array([action.step == TEST for action in flat])[:, None]
    then = np.where(test, 0, sets | way[:, None])
    costs = np.array([action.minutes for action in flat])[:, None] + opening[way]
    chances, places = [], []
    for side in (0, 1):
        more = np.array([pair[side].way for pair in pairs])[:, None]
        chance = np.array([pair[side].chance for pair in pairs])
        own = np.array([pair[side].minutes for pair in pairs])[:, None]
        costs += chance[:, None] * (own + opening[more, then])
        belief = np.array([pair[side].belief for pair in pairs])[:, None]
        chances.append(chance)
        places.append(belief * len(sets) + (then | more))
    return _Laid(
        np.array(list(found.actions)),
        np.cumsum([0, *counts[:-1]]),
        costs,
        (chances[0], chances[1]),
        (places[0], places[1]),
    )
