"""A cause taken as there from the start, against solving with other priors."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from oracles import ANY_DECK, answer, book_of

from diag.errors import ImpossibleEvidence
from diag.inference.given_cause import from_start
from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.history import Given, History, Mended, Opened

SIGNS = ("s0", "s1", "s2", "s3")
CAUSES = ("c0", "c1", "c2", "c3")


@st.composite
def touched_decks(draw: st.DrawFn) -> tuple[Book, History]:
    """A small book, and answers before and after a repair and an opening."""
    chances = st.floats(0.05, 0.95)
    book = book_of(
        shows={c: draw(st.dictionaries(st.sampled_from(SIGNS), chances)) for c in CAUSES},
        priors={c: draw(st.floats(0.001, 0.7)) for c in CAUSES},
        leaks={s: draw(st.sampled_from([0.003, 0.1])) for s in SIGNS},
        remedies={"mend": (draw(st.floats(0.1, 1.0)), ("c0", "c1"))},
        layers={"lid": {"c1": 0.2, "c2": 0.1}},
    )
    steps: list[Given | Mended | Opened] = []
    for done in (None, *draw(st.permutations([Mended("mend"), Opened("lid")]))):
        steps += [done] if done else []
        asked = draw(st.lists(st.sampled_from(SIGNS), min_size=1, max_size=3, unique=True))
        steps += [
            answer(s, draw(st.booleans()), draw(st.sampled_from(["certain", "fairly"])))
            for s in asked
        ]
    return book, History((), tuple(steps))


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(touched_decks(), st.sampled_from([1 / 16, 0.5, 2.0, 16.0]))
def test_any_prior_follows_from_the_start_taken_as_certain(
    case: tuple[Book, History], factor: float
) -> None:
    """Scaling the odds of a start gives what solving with them gives, through repairs, too."""
    net = network(case[0], ANY_DECK, case[1])
    try:
        now = solve(net)
    except ImpossibleEvidence:
        return
    found = from_start(now, CAUSES)
    for column, scaled in enumerate(CAUSES):
        p = net.start[scaled]
        odds = factor * p / (1 - p)
        direct = solve(replace(net, start={**net.start, scaled: odds / (1 + odds)}))
        for row, cause in enumerate(found.causes):
            share = now.causes[cause] + (factor - 1) * found.together[row, column]
            share /= 1 + (factor - 1) * found.chance[column]
            assert share == pytest.approx(direct.causes[cause], abs=1e-9)


def test_an_untouched_cause_at_the_start_is_the_cause_now() -> None:
    """Where nothing was touched, the chance from the start is the posterior itself."""
    book = book_of(
        shows={"c0": {"s0": 0.9}, "c1": {"s0": 0.5, "s1": 0.7}},
        priors={"c0": 0.1, "c1": 0.3},
        leaks={"s0": 0.01, "s1": 0.01},
    )
    now = solve(network(book, ANY_DECK, History((), (answer("s0", True), answer("s1", False)))))
    found = from_start(now, ("c1", "c0"))
    assert found.chance == pytest.approx([now.causes["c1"], now.causes["c0"]], abs=1e-12)
    assert found.together[1, 0] == pytest.approx(now.causes["c1"], abs=1e-12)


def test_a_cause_that_can_not_start_is_with_nothing() -> None:
    """A prior of zero has no mass, and no share of any other cause."""
    book = book_of(
        shows={"c0": {"s0": 0.9}, "c1": {"s0": 0.5}},
        priors={"c0": 0.0, "c1": 0.3},
        leaks={"s0": 0.01},
    )
    found = from_start(solve(network(book, ANY_DECK, History((), (answer("s0", True),)))), ("c0",))
    assert found.chance.tolist() == [0.0]
    assert found.together.tolist() == [[0.0], [0.0]]
