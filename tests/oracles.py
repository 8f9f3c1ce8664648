"""Books and histories small enough to enumerate, and the enumeration that judges the engine.

The oracle walks through a history step by step. It knows nothing of blocks, absorption or sweeps:
it enumerates which causes were there when, what each fired each time, and which leaks fired. Given
the causes, signs are independent, so their firings are enumerated sign by sign.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import product, takewhile
from math import prod
from random import Random
from typing import Any

from diag.model.book import Book
from diag.model.cause import Cause, Sign
from diag.model.check import Answer, Check
from diag.model.figures import Prior
from diag.model.history import Given, History, Mended, Opened
from diag.model.layer import Layer
from diag.model.remedy import Remedy
from diag.model.symptom import Symptom
from diag.model.trait import Deck

LIKELIHOOD = {
    ("certain", True): (0, 1),
    ("certain", False): (1, 0),
    ("fairly", True): (Fraction(2, 10), Fraction(8, 10)),
    ("fairly", False): (Fraction(8, 10), Fraction(2, 10)),
}
ANY_DECK = Deck(age_years=0.0)
TOLD = (Fraction(1, 10), Fraction(9, 10))


def book_of(
    shows: Mapping[str, Mapping[str, float]],
    priors: Mapping[str, float],
    leaks: Mapping[str, float],
    remedies: Mapping[str, tuple[float, Sequence[str]]] | None = None,
    layers: Mapping[str, Mapping[str, float]] | None = None,
) -> Book:
    """A book with one check a sign, `ask_<sign>`, answered `there` or `gone`, and one symptom each.

    `remedies` gives (cures, causes mended), `layers` what opening one upsets.
    """
    remedies = remedies or {}
    causes = {
        c: Cause(
            id=c,
            says=c,
            prior=Prior(((0.0, priors[c]),)),
            shows=dict(shown),
            mended_by=tuple(r for r, (_, mended) in remedies.items() if c in mended),
        )
        for c, shown in shows.items()
    }
    tree = {"outside": Layer(id="outside")}
    for name, upsets in (layers or {}).items():
        tree[name] = Layer(
            id=name, under="outside", open_minutes=1.0, close_minutes=1.0, upsets=dict(upsets)
        )
    return Book(
        family="tried",
        says="A book for a test",
        layers=tree,
        signs={s: Sign(id=s, says=s, leak=leak) for s, leak in leaks.items()},
        causes=causes,
        checks={f"ask_{s}": check_of(f"ask_{s}", s) for s in leaks},
        remedies={
            r: Remedy(id=r, says=r, minutes=1, at="outside", cures=cures)
            for r, (cures, _) in remedies.items()
        },
        symptoms={f"told_{s}": Symptom(id=f"told_{s}", says=s, signs=(s,)) for s in leaks},
    )


def check_of(name: str, sign: str) -> Check:
    """A check that asks for one sign."""
    answers = {
        "there": Answer(id="there", present=(sign,)),
        "gone": Answer(id="gone"),
    }
    return Check(id=name, ask=name, at="outside", minutes=1, answers=answers)


def answer(sign: str, is_present: bool, sure: Any = "certain", event: int = 0) -> Given:
    """The answer to the check of one sign."""
    return Given(f"ask_{sign}", "there" if is_present else "gone", sure, event)


@dataclass(frozen=True)
class Exact:
    """What the enumeration found, as exact fractions."""

    evidence: Fraction
    causes: Mapping[str, Fraction]


@dataclass(frozen=True)
class _Course:
    """One cause's course: its probability and the number of its time at each moment, or None."""

    chance: Fraction
    times: tuple[int | None, ...]


def enumerated(book: Book, history: History, now: Mapping[str, bool] | None = None) -> Exact:
    """The posterior of a deck with all traits, by enumeration; `now` adds signs seen at the end.

    It takes every answer as it stands: no check asked twice between two touches of its sign.
    """
    said = _statements(book, history, now or {})
    total = Fraction(0)
    mass = dict.fromkeys(book.causes, Fraction(0))
    names = list(book.causes)

    @cache
    def likelihood(sign: str, courses: tuple[_Course, ...]) -> Fraction:
        world = dict(zip(book.causes_of[sign], courses, strict=True))
        return _likelihood(book, sign, said[sign], world)

    for world in product(*(list(_courses(book, history, name)) for name in names)):
        by_name = dict(zip(names, world, strict=True))
        chances = [course.chance for course in world]
        for sign in said:
            chances.append(likelihood(sign, tuple(by_name[c] for c in book.causes_of[sign])))
            if not chances[-1]:
                break
        # One reduction of one large fraction instead of one a factor.
        chance = Fraction(
            prod(factor.numerator for factor in chances),
            prod(factor.denominator for factor in chances),
        )
        total += chance
        for name, course in by_name.items():
            if course.times[-1] is not None:
                mass[name] += chance
    return Exact(total, {n: m / total if total else Fraction(0) for n, m in mass.items()})


def _statements(
    book: Book, history: History, now: Mapping[str, bool]
) -> dict[str, list[tuple[int, Any, Any]]]:
    """For each sign: (moment, likelihood if absent, likelihood if present) of what was said.

    Moment k is after the first k steps. Complaints are of the deck as it was when first asked
    about: after the openings that come before everything else.
    """
    first = _openings_first(history)
    said: dict[str, list[tuple[int, Any, Any]]] = {}
    for moment, step in enumerate(history.steps):
        if isinstance(step, Given):
            for sign, there in book.checks[step.check].evidence[step.answer].items():
                said.setdefault(sign, []).append((moment, *LIKELIHOOD[step.sure, there]))
    for symptom in history.symptoms:
        for sign in book.symptoms[symptom].signs:
            later = [at for at in _touching(book, history, sign) if at >= first]
            touched = min(later, default=len(history.steps))
            if not any(moment <= touched for moment, *_ in said.get(sign, [])):
                said.setdefault(sign, []).append((first, *TOLD))
    for sign, there in now.items():
        said.setdefault(sign, []).append((len(history.steps), *LIKELIHOOD["certain", there]))
    return said


def _openings_first(history: History) -> int:
    return len(list(takewhile(lambda step: isinstance(step, Opened), history.steps)))


def _touching(book: Book, history: History, sign: str) -> Iterator[int]:
    for moment, step in enumerate(history.steps):
        for cause in book.causes.values() if moment >= _early(history) else ():
            if sign in cause.shows and _is_touched(book, cause, step):
                yield moment


def _early(history: History) -> int:
    """How many openings come before anything else: they belong to the prior."""
    other = (n for n, step in enumerate(history.steps) if not isinstance(step, Opened))
    return next(other, len(history.steps))


def _is_touched(book: Book, cause: Cause, step: Any) -> bool:
    if isinstance(step, Mended):
        return step.remedy in cause.mended_by
    return isinstance(step, Opened) and cause.id in book.layers[step.layer].upsets


def _courses(book: Book, history: History, name: str) -> Iterator[_Course]:
    """Every course of a cause, one for each outcome of each touch."""
    cause = book.causes[name]
    prior = Fraction(cause.prior.at(0))
    for step in history.steps[: _early(history)]:
        prior = 1 - (1 - prior) * (1 - Fraction(book.layers[step.layer].upsets.get(name, 0)))
    courses = [_Course(1 - prior, (None,)), _Course(prior, (0,))]
    for number, step in enumerate(history.steps, start=1):
        grown = []
        if number <= _early(history):
            courses = [_Course(c.chance, (*c.times, c.times[-1])) for c in courses]
            continue
        for course in courses:
            last = course.times[-1]
            change = Fraction(0)
            other: int | None = None
            if _is_touched(book, cause, step):
                if isinstance(step, Mended) and last is not None:
                    change = Fraction(book.remedies[step.remedy].cures)
                elif isinstance(step, Opened) and last is None:
                    change, other = Fraction(book.layers[step.layer].upsets[name]), number
            grown.append(_Course(course.chance * (1 - change), (*course.times, last)))
            if change:
                grown.append(_Course(course.chance * change, (*course.times, other)))
        courses = grown
    yield from courses


def _likelihood(
    book: Book, sign: str, statements: list[tuple[int, Any, Any]], world: Mapping[str, _Course]
) -> Fraction:
    """Chance of what was said of a sign, over every firing of its links and of its leak."""
    moments = [moment for moment, *_ in statements]
    firings: list[tuple[Fraction, frozenset[int]]] = [
        (Fraction(book.signs[sign].leak), frozenset(moments))
    ]
    for name, course in world.items():
        chance = book.causes[name].shows.get(sign)
        if chance is not None:
            for time in {course.times[m] for m in moments} - {None}:
                during = frozenset(m for m in moments if course.times[m] == time)
                firings.append((Fraction(chance), during))
    total = Fraction(0)
    for fired in product((False, True), repeat=len(firings)):
        chance = Fraction(1)
        seen: set[int] = set()
        for (q, during), fires in zip(firings, fired, strict=True):
            chance *= q if fires else 1 - q
            seen |= during if fires else set()
        for moment, if_absent, if_present in statements:
            chance *= Fraction(if_present if moment in seen else if_absent)
        total += chance
    return total


def random_book(
    seed: int, causes: int, signs: int, parents: int, top: float = 0.05, least: float = 1e-4
) -> Book:
    """A book in which every sign has that many causes, with priors from `least` to `top`."""
    drawn = Random(seed)
    names = [f"c{number}" for number in range(causes)]
    shows: dict[str, dict[str, float]] = {name: {} for name in names}
    for number in range(signs):
        for name in drawn.sample(names, parents):
            shows[name][f"s{number}"] = drawn.uniform(0.2, 0.95)
    return book_of(
        shows=shows,
        priors={name: drawn.uniform(least, top) for name in names},
        leaks={f"s{number}": drawn.uniform(0.001, 0.02) for number in range(signs)},
    )


def random_history(book: Book, seed: int, present: int, absent: int) -> History:
    """Certain answers on so many signs."""
    asked = Random(seed).sample(list(book.signs), present + absent)
    return History((), tuple(answer(sign, at < present) for at, sign in enumerate(asked)))
