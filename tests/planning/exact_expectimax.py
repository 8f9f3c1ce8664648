"""Every plan tried: the plainest way to the optimum of a tiny deck, as a judge of the quick one.

Nothing is left out but asking what is known. A belief is a mapping from sets of faults to exact
fractions. Repairs always cure here, so that every step tells or mends something and the tree ends.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import cache

from exact_world import TEST

from diag.model.book import Book

Faults = frozenset[str]
Belief = dict[Faults, Fraction]
Choice = tuple[float, frozenset[str], list[Belief]]
"""Minutes of a step, the layers open after it, and the part of the belief for each answer."""


def fewest_minutes(book: Book) -> float:
    """Expected minutes of the best plan for a deck that has just failed its test."""
    chances: Belief = {frozenset(): Fraction(1)}
    for cause in book.causes.values():
        p = Fraction(cause.prior.at(0.0))
        without = {faults: chance * (1 - p) for faults, chance in chances.items()}
        chances = without | {faults | {cause.id}: chance * p for faults, chance in chances.items()}
    del chances[frozenset()]

    @cache
    def best(belief: frozenset[tuple[Faults, Fraction]], opened: frozenset[str]) -> float:
        known = dict(belief)
        return min(
            minutes + sum(float(sum(p.values())) * best(_scaled(p), then) for p in parts)
            for minutes, then, parts in (
                *_askings(book, known, opened),
                *_mendings(book, known, opened),
            )
        )

    return best(_scaled(chances), frozenset())


def _askings(book: Book, belief: Belief, opened: frozenset[str]) -> Iterator[Choice]:
    """Checks; of the test the good answer ends it all, and is worth having though it is known."""
    for check in book.checks.values():
        told = _told(book, belief, check.signs[0])
        minutes, then = _opening(book, opened, check.at)
        if check.id == TEST and False in told:
            yield minutes + check.minutes, frozenset(), [told[True]] if True in told else []
        elif len(told) == 2:
            yield minutes + check.minutes, then, list(told.values())


def _mendings(book: Book, belief: Belief, opened: frozenset[str]) -> Iterator[Choice]:
    for remedy in book.remedies.values():
        mended = frozenset(book.mends[remedy.id])
        if not any(mended & faults for faults in belief):
            continue
        after: Belief = {}
        for faults, chance in belief.items():
            after[faults - mended] = after.get(faults - mended, Fraction(0)) + chance
        minutes, then = _opening(book, opened, remedy.at)
        yield minutes + remedy.minutes, then, [after]


def _told(book: Book, belief: Belief, sign: str) -> dict[bool, Belief]:
    told: dict[bool, Belief] = {}
    for faults, chance in belief.items():
        is_bad = any(sign in book.causes[fault].shows for fault in faults)
        told.setdefault(is_bad, {})[faults] = chance
    return told


def _scaled(belief: Belief) -> frozenset[tuple[Faults, Fraction]]:
    whole = sum(belief.values())
    return frozenset((faults, chance / whole) for faults, chance in belief.items())


def _opening(book: Book, opened: frozenset[str], layer: str) -> tuple[float, frozenset[str]]:
    way = frozenset(book.ways[layer])
    layers = [book.layers[name] for name in way - opened]
    return sum(one.open_minutes + one.close_minutes for one in layers), opened | way
