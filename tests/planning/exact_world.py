"""Small invented decks whose every state can be listed, as real books and as arrays over states.

What makes them small enough: every sign follows from the causes with certainty and without leaks,
so that an inspection never errs, and the final test fails exactly when some fault is left. Faults
are independent, several at once. Nothing is upset by opening. The deck comes in with its final
test failed. Then all that matters of a history is the chance of each set of faults present now.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from random import Random

import numpy as np
from numpy.typing import NDArray

from diag.model.book import Book
from diag.model.cause import Cause, Sign
from diag.model.check import Answer, Check
from diag.model.figures import Prior
from diag.model.layer import Layer
from diag.model.remedy import Remedy

Floats = NDArray[np.float64]

TEST = "play_it_all"
TEST_MINUTES = 12.0


def small_book(seed: int, causes: int = 8, layers: int = 3, *, sure: bool = True) -> Book:
    """A book of so many causes behind so many layers; `sure` remedies always cure.

    Minutes, layers and cures are drawn from the ranges of the simulation that the policy was
    tuned in; the priors are higher, so that eight causes give one to four faults as sixty did.
    """
    drawn = Random(seed)
    tree = _layers(drawn, layers)
    names = [f"fault_{number}" for number in range(causes)]
    asked = drawn.randint(2, 4)
    shows: dict[str, list[str]] = {name: ["not_well", f"seen_{name}"] for name in names}
    for number in range(asked):
        for name in drawn.sample(names, drawn.randint(2, max(2, causes // 2))):
            shows[name].append(f"sign_{number}")
    signs = dict.fromkeys(sign for shown in shows.values() for sign in shown)
    at = {name: drawn.choice(list(tree)) for name in names}
    checks = [_check(TEST, "not_well", "outside", TEST_MINUTES)]
    checks += [
        _check(f"ask_{sign}", sign, "outside", drawn.uniform(1, 4))
        for sign in signs
        if sign.startswith("sign_")
    ]
    mends = {name: drawn.uniform(4, 35) for name in names}
    # Where a repair may fail, a look nearly as dear would make trying without end sensible.
    most = {name: 8.0 if sure else min(8.0, 0.5 * mends[name]) for name in names}
    checks += [_check(f"look_{n}", f"seen_{n}", at[n], drawn.uniform(1, most[n])) for n in names]
    return Book(
        family="small",
        says="A deck small enough to be solved exactly",
        layers=tree,
        signs={sign: Sign(id=sign, says=sign, leak=0.0) for sign in signs},
        causes={
            name: Cause(
                id=name,
                says=name,
                prior=Prior(((0.0, drawn.uniform(0.05, 0.4)),)),
                shows=dict.fromkeys(shows[name], 1.0),
                mended_by=(f"mend_{name}",),
            )
            for name in names
        },
        checks={check.id: check for check in checks},
        remedies={
            f"mend_{name}": Remedy(
                id=f"mend_{name}",
                says=name,
                minutes=mends[name],
                at=at[name],
                cures=1.0 if sure else drawn.uniform(0.85, 0.98),
            )
            for name in names
        },
        final_test=(TEST,),
    )


def _layers(drawn: Random, count: int) -> dict[str, Layer]:
    tree = {"outside": Layer(id="outside")}
    for number in range(count):
        name = f"layer_{number}"
        tree[name] = Layer(
            id=name,
            under=drawn.choice(list(tree)),
            open_minutes=drawn.uniform(3, 15),
            close_minutes=drawn.uniform(4, 20),
        )
    return tree


def _check(name: str, sign: str, layer: str, minutes: float) -> Check:
    answers = {"bad": Answer(id="bad", present=(sign,)), "good": Answer(id="good")}
    return Check(id=name, ask=name, at=layer, minutes=minutes, answers=answers)


@dataclass(frozen=True)
class World:
    """A small book over all sets of faults.

    A belief is the chance of each set of faults present now, shape (sets,); bit c of a set's
    number is the c-th cause. Layers are numbered by bits, too; the outside is no bit.
    """

    book: Book

    @cached_property
    def has(self) -> NDArray[np.bool_]:
        """Whether each set has each cause, shape (causes, sets)."""
        count = len(self.book.causes)
        return (np.arange(1 << count) >> np.arange(count)[:, None] & 1).astype(bool)

    def there(self, belief: Floats) -> Floats:
        """The chance of each cause, shape (causes,)."""
        found: Floats = self._counts @ belief
        return found

    @cached_property
    def _counts(self) -> Floats:
        return self.has.astype(float)

    @cached_property
    def start(self) -> Floats:
        """The belief when the deck comes in: independent faults, and at least one."""
        priors = np.array([cause.prior.at(0.0) for cause in self.book.causes.values()])
        chance = np.where(self.has, priors[:, None], 1 - priors[:, None]).prod(axis=0)
        chance[0] = 0.0
        return chance / chance.sum()

    @cached_property
    def bad(self) -> Mapping[str, Floats]:
        """For each check, 1 for the sets of faults with which its answer is `bad`, else 0."""
        found = {}
        for name, check in self.book.checks.items():
            shown = [check.signs[0] in cause.shows for cause in self.book.causes.values()]
            found[name] = self.has[shown].any(axis=0).astype(float)
        return found

    @cached_property
    def way(self) -> Mapping[str, int]:
        """The layers that must be open for a check or a remedy, as bits."""
        bit = {name: 1 << n for n, name in enumerate(n for n in self.book.layers if n != "outside")}
        steps = {**self.book.checks, **self.book.remedies}
        return {s: sum(bit[name] for name in self.book.ways[steps[s].at]) for s in steps}

    @cached_property
    def round_trips(self) -> tuple[float, ...]:
        """Minutes of opening and closing each layer but the outside."""
        layers = [layer for name, layer in self.book.layers.items() if name != "outside"]
        return tuple(layer.open_minutes + layer.close_minutes for layer in layers)

    def opening(self, opened: int, way: int) -> float:
        """Minutes of opening, and later closing, what is not open yet on the way."""
        missing = way & ~opened
        return sum(trip for n, trip in enumerate(self.round_trips) if missing >> n & 1)

    @cached_property
    def foreseen(self) -> Floats:
        """Minutes of somebody who knows the faults and whose repairs hold: no plan needs less.

        Shape (sets of faults, sets of open layers).
        """
        book = self.book
        minutes = np.array([book.remedies[self.remedy(c)].minutes for c in range(len(book.causes))])
        ways = [self.way[self.remedy(c)] for c in range(len(book.causes))]
        opening = [
            [self.opening(opened, way) for opened in range(1 << len(self.round_trips))]
            for way in (_joined(ways, number) for number in range(len(self.start)))
        ]
        found: Floats = (minutes @ self.has)[:, None] + np.array(opening) + TEST_MINUTES
        return found

    def mended(self, belief: Floats, cause: int) -> Floats:
        """The belief after the remedy of a cause."""
        cures = self.book.remedies[self.remedy(cause)].cures
        there = self.has[cause]
        after = belief.copy()
        after[there] *= 1 - cures
        after[~there] += belief[there] * cures
        return after

    def remedy(self, cause: int) -> str:
        """The remedy of a cause."""
        return tuple(self.book.causes.values())[cause].mended_by[0]


def _joined(ways: list[int], causes: int) -> int:
    joined = 0
    for cause, way in enumerate(ways):
        joined |= way if causes >> cause & 1 else 0
    return joined
