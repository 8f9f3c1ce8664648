"""What must hold of every posterior, whatever the book."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from oracles import ANY_DECK, answer, book_of

from diag.inference.network import network
from diag.inference.posterior import Posterior, solve
from diag.model.book import Book
from diag.model.cause import Sign
from diag.model.history import Given, History

CAUSES = [f"c{number}" for number in range(12)]
SIGNS = [f"s{number}" for number in range(14)]
SETTINGS = settings(max_examples=30, deadline=None)

answers = st.lists(
    st.builds(
        answer, st.sampled_from(SIGNS), st.booleans(), st.sampled_from(["certain", "fairly"])
    ),
    unique_by=lambda given: given.check,
)
seeds = st.integers(0, 10_000)


def book_drawn(seed: int, causes: Sequence[str] = CAUSES, signs: Sequence[str] = SIGNS) -> Book:
    """A book of these causes and signs; the same seed gives the same figures in the same places."""
    drawn = random.Random(seed)
    return book_of(
        shows={
            c: {s: drawn.uniform(0.1, 1) for s in signs if drawn.random() < 0.3} for c in causes
        },
        priors={c: drawn.uniform(0.001, 0.5) for c in causes},
        leaks={s: drawn.uniform(0.001, 0.1) for s in signs},
    )


def posterior(book: Book, given: Sequence[Given]) -> Posterior:
    """The posterior of these answers."""
    return solve(network(book, ANY_DECK, History((), tuple(given))))


@SETTINGS
@given(seeds, answers)
def test_probabilities_stay_between_zero_and_one(seed: int, given: list[Given]) -> None:
    """Every probability lies in [0, 1] and agrees with its log-odds; evidence has at most all."""
    found = posterior(book_drawn(seed), given)
    assert all(0 <= p <= 1 for p in found.causes.values())
    assert found.log_evidence <= 1e-12
    assert found.width <= len(SIGNS)


@SETTINGS
@given(seeds, answers, st.randoms(use_true_random=False))
def test_order_of_answers_is_irrelevant(
    seed: int, given: list[Given], shuffling: random.Random
) -> None:
    """Answers in any order give the same posterior and the same evidence."""
    book = book_drawn(seed)
    shuffled = list(given)
    shuffling.shuffle(shuffled)
    one, other = posterior(book, given), posterior(book, shuffled)
    assert other.causes == pytest.approx(one.causes, rel=1e-10)
    assert other.log_evidence == pytest.approx(one.log_evidence, rel=1e-10, abs=1e-12)


@SETTINGS
@given(seeds, answers, st.booleans())
def test_sign_without_a_link_changes_nothing(
    seed: int, given: list[Given], is_present: bool
) -> None:
    """A sign that no cause shows leaves every cause where it was, present or absent."""
    book = book_drawn(seed)
    lonely = book_of({}, {}, {"lonely": 0.2})
    signs: dict[str, Sign] = {**book.signs, **lonely.signs}
    wider = replace(book, signs=signs, checks={**book.checks, **lonely.checks})
    with_it = posterior(wider, [*given, answer("lonely", is_present)])
    assert with_it.causes == pytest.approx(posterior(book, given).causes, rel=1e-12)


@SETTINGS
@given(seeds)
def test_no_evidence_leaves_the_prior(seed: int) -> None:
    """Without an answer the posterior is the prior and the evidence is certain."""
    book = book_drawn(seed)
    found = posterior(book, [])
    assert found.causes == pytest.approx({c.id: c.prior.at(0) for c in book.causes.values()})
    assert found.log_evidence == pytest.approx(0, abs=1e-12)
    assert found.width == 0


@SETTINGS
@given(seeds, answers)
def test_names_are_irrelevant(seed: int, given: list[Given]) -> None:
    """Renaming causes and signs renames the posterior and changes nothing else."""
    causes, signs = [f"other_{c}" for c in CAUSES], [f"other_{s}" for s in SIGNS]
    renamed = [replace(g, check=g.check.replace("ask_", "ask_other_")) for g in given]
    one = posterior(book_drawn(seed), given)
    other = posterior(book_drawn(seed, causes, signs), renamed)
    assert [*other.causes.values()] == pytest.approx([*one.causes.values()], rel=1e-12)


@SETTINGS
@given(seeds, answers)
def test_present_sign_never_speaks_against_its_causes_alone(seed: int, given: list[Given]) -> None:
    """The first present sign raises each of its causes, and the first absent one lowers them."""
    book = book_drawn(seed)
    for said in given[:1]:
        sign = said.check.removeprefix("ask_")
        found = posterior(book, [said])
        for cause in book.causes_of[sign]:
            prior = book.causes[cause].prior.at(0)
            rises = found.causes[cause] > prior
            assert rises == (said.answer == "there")
