"""Causes that no check tells apart, against enumerated decks of drawn books."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, product

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from sound_book import cause, check, remedy, sign, sound_book

from diag.linting.alike import ALIKE, causes_alike
from diag.linting.alone import alone
from diag.model.book import Book
from diag.model.check import Answer, Check
from diag.model.trait import Trait

SIGNS = ("s0", "s1", "s2")
CAUSES = ("c0", "c1", "c2", "c3")
DRIVES = ("belt", "idler", "direct")
# No two differ by the limit itself, where rounding would decide.
LINKS = st.sampled_from([0.0, 0.13, 0.37, 0.55, 0.9, 1.0])
WHERE = st.one_of(
    st.just({}), st.sets(st.sampled_from(DRIVES), min_size=1).map(lambda d: {"drive": tuple(d)})
)


@st.composite
def books(draw: st.DrawFn) -> Book:
    """Three signs, four causes with one or two remedies among them, and up to four checks."""
    checks = {}
    for number in range(draw(st.integers(0, 4))):
        order = draw(st.permutations(SIGNS))[: draw(st.integers(1, 3))]
        answers = {name: Answer(id=name, present=(name,)) for name in order}
        answers["none"] = Answer(id="none")
        where = draw(WHERE)
        checks[f"k{number}"] = check(f"k{number}", order[0], answers=answers, where=where)
    return replace(
        sound_book(),
        traits={"drive": Trait(id="drive", ask="What?", one_of=DRIVES)},
        signs={name: sign(name, draw(st.sampled_from([0.0, 0.01, 0.3]))) for name in SIGNS},
        causes={
            name: cause(
                name,
                {s: p for s in SIGNS if (p := draw(LINKS))},
                draw(st.sampled_from(["r0", "r1", "r2"])),
                where=draw(WHERE),
            )
            for name in CAUSES
        },
        checks=checks,
        remedies={name: remedy(name) for name in ("r0", "r1", "r2")},
        symptoms={},
        walks={},
        final_test=(),
    )


def by_decks(book: Book, name: str, asked: Check) -> dict[str, float]:
    """Chance of each answer with one cause alone, over all states of the signs."""
    chances = dict.fromkeys(asked.answers, 0.0)
    for states in product((False, True), repeat=len(SIGNS)):
        state = dict(zip(SIGNS, states, strict=True))
        weight = 1.0
        for one, there in state.items():
            silent = (1 - book.signs[one].leak) * (1 - book.causes[name].shows.get(one, 0.0))
            weight *= 1 - silent if there else silent
        # The answers of these checks are a plain decision list: the first sign that is there.
        given = next((a for a in asked.answers if state.get(a)), "none")
        chances[given] += weight
    return chances


def allowed(book: Book, *wheres: dict[str, tuple[str, ...]]) -> bool:
    """Whether some drive suits all of these."""
    return any(all(d in where.get("drive", DRIVES) for where in wheres) for d in DRIVES)


def alike_by_decks(book: Book) -> set[frozenset[str]]:
    """The pairs that are alike, each worked out by itself."""
    found = set()
    for one, other in combinations(book.causes.values(), 2):
        if set(one.mended_by) & set(other.mended_by) or not allowed(book, one.where, other.where):
            continue
        most = 0.0
        for asked in book.checks.values():
            if allowed(book, one.where, other.where, asked.where):
                first, second = by_decks(book, one.id, asked), by_decks(book, other.id, asked)
                most = max(most, sum(abs(first[a] - second[a]) for a in first) / 2)
        if most < ALIKE:
            found.add(frozenset((one.id, other.id)))
    return found


@settings(max_examples=200, deadline=None)
@given(book=books())
def test_pairs_told_are_those_that_decks_cannot_part(book: Book) -> None:
    """Every pair within a group is alike, and every pair that is alike stands in a group."""
    told = set()
    for found in causes_alike(book):
        first, rest = found.words.split(": no check tells it from ")
        names = [first, *rest.split(". ")[0].replace(" and ", ", ").split(", ")]
        told |= {frozenset(pair) for pair in combinations(names, 2)}
    assert told == alike_by_decks(book)


@settings(max_examples=100, deadline=None)
@given(book=books())
def test_answers_of_a_cause_alone_are_those_of_its_decks(book: Book) -> None:
    """Each answer, and all of them add up to one, with no cause as well."""
    by_cause = alone(book)
    for asked in book.checks.values():
        found = by_cause.answers(asked)
        assert np.allclose(found.sum(axis=1), 1.0)
        for row, name in enumerate(CAUSES):
            assert np.allclose(found[row], [*by_decks(book, name, asked).values()])
