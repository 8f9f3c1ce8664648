"""Causes that no check of the book can tell apart."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from diag.linting.alone import Alone, Array, alone
from diag.linting.doubt import Found, found_at, listed
from diag.linting.kinds import kinds
from diag.model.book import Book

ALIKE = 0.2
"""Total variation below which a check tells two causes apart too seldom: it gives them different
answers in fewer than one deck of five. Our choice."""


def causes_alike(book: Book) -> Iterator[Found]:
    """B14: causes of which no check tells any two apart, and that no common remedy mends.

    Two causes count if one kind of deck can have both (their `where` don't exclude each other).
    A check tells them apart by the total variation, which is half the sum of the differences,
    between its answers of a deck with the one cause alone and of a deck with the other alone.
    The pair is alike if it is below `ALIKE` for each check that such a deck allows. A group in
    which every two are alike is one finding; every pair stands in a group.
    """
    by_cause = alone(book)
    for group in _groups(_comparable(book) & (_told_apart(book, by_cause) < ALIKE)):
        causes = list(book.causes.values())
        names = [causes[row].id for row in group]
        more = f"no check tells it from {listed(names[1:])}. {_way_out(by_cause, group)}"
        yield found_at(causes[group[0]], more)


def _comparable(book: Book) -> NDArray[np.bool_]:
    """Which pairs can be in one kind of deck and share no remedy, shape (causes, causes)."""
    masks = kinds([cause.where for cause in book.causes.values()], book.traits)
    found = np.ones((len(masks), len(masks)), dtype=bool)
    for column in masks.T:
        found &= (column[:, None] & column[None, :]) != 0
    row = {cause: at for at, cause in enumerate(book.causes)}
    for causes in book.mends.values():
        rows = [row[cause] for cause in causes]
        found[np.ix_(rows, rows)] = False
    np.fill_diagonal(found, False)
    return found


def _told_apart(book: Book, by_cause: Alone) -> Array:
    """The most total variation that a check has for each pair, shape (causes, causes)."""
    masks = kinds([cause.where for cause in book.causes.values()], book.traits)
    asked = kinds([check.where for check in book.checks.values()], book.traits)
    most = np.zeros((len(masks), len(masks)))
    for check, where in zip(book.checks.values(), asked, strict=True):
        rows = by_cause.showing(check)
        if not len(rows):
            continue
        answers = by_cause.answers(check)
        # Causes that the check does not ask for all answer as a deck without any.
        apart = np.repeat(_variation(answers[rows], answers[-1:]), len(masks), axis=1)
        apart[:, rows] = _variation(answers[rows], answers[rows])
        for trait in np.flatnonzero(where != -1):
            both = masks[rows, None, trait] & masks[None, :, trait] & where[trait]
            apart[both == 0] = 0.0
        most[rows] = np.maximum(most[rows], apart)
    return np.maximum(most, most.T)


def _variation(some: Array, others: Array) -> Array:
    """Total variation between answers, (some, answers) and (others, answers)."""
    found: Array = np.abs(some[:, None, :] - others[None, :, :]).sum(axis=2) / 2
    return found


def _groups(alike: NDArray[np.bool_]) -> Iterator[list[int]]:
    """Groups of rows that are all alike, so that every alike pair stands in one."""
    left = np.triu(alike)
    while left.any():
        first, second = (int(at) for at in np.argwhere(left)[0])
        group = [first, second]
        for row in range(len(alike)):
            if row not in group and alike[row, group].all():
                group.append(row)
        left[np.ix_(group, group)] = False
        yield sorted(group)


def _way_out(by_cause: Alone, group: list[int]) -> str:
    """The sign on which a group differs most, or that it differs on none.

    Such a sign is asked for by no check of such a deck, or only together with others.
    """
    chances = by_cause.chances[group]
    spread = np.ptp(chances, axis=0)
    if spread.max(initial=0.0) < ALIKE:
        return "They show alike: give one a sign of its own, and a look for it."
    column = chances[:, spread.argmax()]
    sign = list(by_cause.column)[spread.argmax()]
    return f"A check for {sign} would tell: its chance is {column.min():.2g} to {column.max():.2g}."
