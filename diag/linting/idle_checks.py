"""Checks that change nothing, or nothing that another does not change for less."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import numpy as np

from diag.linting.alone import Alone, Array, alone
from diag.linting.doubt import Found, found_at
from diag.model.book import Book
from diag.model.check import Check
from diag.model.trait import Where

MOVES = 3.0
"""Factor on the odds of a cause below which an answer is no help: about five decibans. Our choice:
the first rank of a deck's causes seldom leads by less."""


def check_moves_nothing(book: Book) -> Iterator[Found]:
    """B16: no answer of a check can move the odds of any cause by as much as `MOVES`, up or down.

    Up, most is moved in a deck without any other cause, which might have brought the same signs
    about: by the chance of the answer with the cause alone over that without any. Down, most is
    moved where others account for all that is present: by the signs that are absent. Causes and
    checks that no deck has together don't count. A check without a sign is B05.
    """
    by_cause = alone(book)
    for check in book.checks.values():
        if check.signs and (moved := _most_moved(book, by_cause, check)) < MOVES:
            told = f"no answer moves the odds of a cause by {MOVES:g}; the most is {moved:.2g}."
            yield found_at(check, told)


def check_outdone(book: Book) -> Iterator[Found]:
    """B17: another check tells all that it tells, everywhere, for no more.

    The other asks for the same signs, and each of its answers settles the answer of this one; it
    is for every deck that this one is for, at this layer or one on its way, in no more minutes,
    with no other tool, and not powered where this one is not. Of two that outdo each other the
    later is told.
    """
    by_signs: dict[frozenset[str], list[Check]] = {}
    for check in book.checks.values():
        if check.signs:
            by_signs.setdefault(frozenset(check.signs), []).append(check)
    for same in by_signs.values():
        for at, check in enumerate(same):
            for other_at, other in enumerate(same):
                if _outdoes(book, other, check) and (
                    other_at < at or not _outdoes(book, check, other)
                ):
                    yield found_at(check, f"{other.id} tells the same for no more.")
                    break


def _most_moved(book: Book, by_cause: Alone, check: Check) -> float:
    """The largest factor, up or down, by which an answer can move the odds of a cause; from 1."""
    causes = list(book.causes.values())
    fitting = [r for r in by_cause.showing(check) if _together(causes[r].where, check.where)]
    rows = np.array(fitting, dtype=np.intp)
    most = 1.0
    for said in check.evidence.values():
        up = by_cause.of(said)
        down = by_cause.of({sign: False for sign, is_present in said.items() if not is_present})
        most = max(most, _most(up[rows], up[-1]), _most(down[-1], down[rows]))
    return most


def _most(some: Array, others: Array) -> float:
    """The largest of some chances over others, or 1; two chances of nothing are equal."""
    with np.errstate(divide="ignore", invalid="ignore"):
        ratios = np.divide(some, others)
    return float(np.fmax(ratios, 1.0).max(initial=1.0))


def _together(one: Where, other: Where) -> bool:
    """Whether a deck can be of both kinds."""
    return all(set(values) & set(other.get(trait, values)) for trait, values in one.items())


def _outdoes(book: Book, other: Check, check: Check) -> bool:
    """Whether `other`, which asks for the same signs, tells all that `check` tells, for no more."""
    return (
        other is not check
        and other.minutes <= check.minutes
        and other.at in (book.outside, *book.ways[check.at])
        and not (other.live and not check.live)
        and set(other.tools) <= set(check.tools)
        and _covers(other.where, check.where)
        and _settles(other, check)
    )


def _covers(wide: Where, narrow: Where) -> bool:
    """Whether every deck of the narrow kind is of the wide one, too."""
    return all(trait in narrow and set(narrow[trait]) <= {*v} for trait, v in wide.items())


def _settles(other: Check, check: Check) -> bool:
    """Whether each answer of `other` leaves one answer of `check` only."""
    found: dict[str, str] = {}
    for values in product((True, False), repeat=len(check.signs)):
        state = dict(zip(check.signs, values, strict=True))
        answer = _answer(check, state)
        if found.setdefault(_answer(other, state), answer) != answer:
            return False
    return True


def _answer(check: Check, state: dict[str, bool]) -> str:
    """The answer of a deck with these signs; the reader has seen to it that there is one."""
    return next(
        name
        for name, said in check.evidence.items()
        if all(state[sign] is is_present for sign, is_present in said.items())
    )
