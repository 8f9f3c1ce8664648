"""Inference against printed examples, each with its source beside it."""

from __future__ import annotations

from math import exp

import numpy as np
import pytest
from oracles import ANY_DECK, answer, book_of

from diag.inference.joint import solve_rows
from diag.inference.network import network
from diag.inference.posterior import Posterior, solve
from diag.inference.problem import Mode, Problem
from diag.inference.what_if import what_if
from diag.model.book import Book
from diag.model.history import Given, History

FEVER_CAUSES = ("cold", "flu", "malaria")


def after(book: Book, *steps: Given) -> Posterior:
    """The posterior of these answers."""
    return solve(network(book, ANY_DECK, History((), steps)))


@pytest.mark.parametrize(
    ("present", "fever"),
    [
        ((0, 0, 0), 0.0),
        ((0, 0, 1), 0.9),
        ((0, 1, 0), 0.8),
        ((0, 1, 1), 0.98),
        ((1, 0, 0), 0.4),
        ((1, 0, 1), 0.94),
        ((1, 1, 0), 0.88),
        ((1, 1, 1), 0.988),
    ],
)
def test_noisy_or_fever_table(present: tuple[int, int, int], fever: float) -> None:
    """All eight rows of the table come out of the links alone.

    Source: Russell and Norvig, Artificial Intelligence: A Modern Approach, section on efficient
    representation of conditional distributions; inhibitions cold 0.6, flu 0.2, malaria 0.1.
    """
    shows = {"cold": {"fever": 0.4}, "flu": {"fever": 0.8}, "malaria": {"fever": 0.9}}
    priors = dict(zip(FEVER_CAUSES, map(float, present), strict=True))
    net = network(book_of(shows, priors, {"fever": 0.0}), ANY_DECK, History())
    found = what_if(net, [{"fever": True}, {"fever": False}]).probability
    assert found == pytest.approx([fever, 1 - fever], abs=1e-15)


def test_disease_of_one_in_a_thousand() -> None:
    """A positive test leaves a rare disease at about one in twelve.

    Source: textbook numerical example of Bayes' rule printed as 900 true among 10 890 positives
    of a million; the rates of 90 % and 1 % follow from those counts. A false alarm is the leak,
    so the link q has 1 - (1 - q)(1 - 0.01) = 0.9.
    """
    link = 1 - (1 - 0.9) / (1 - 0.01)
    book = book_of({"ill": {"positive": link}}, {"ill": 0.001}, {"positive": 0.01})
    found = after(book, answer("positive", True)).causes["ill"]
    assert found == pytest.approx(900 / 10890, rel=1e-12)


@pytest.mark.parametrize(
    ("shown", "marginal", "expected"), [(0.5, 0.05, 0.0002), (0.7, 0.01, 0.0014)]
)
def test_stiff_neck(shown: float, marginal: float, expected: float) -> None:
    """A stiff neck leaves meningitis at the printed chance.

    Source: Russell and Norvig, the second and the third edition; prior 1 in 50 000. From memory.
    The leak is what makes the whole chance of a stiff neck the printed one.
    """
    prior = 1 / 50_000
    leak = (marginal - prior * shown) / (1 - prior)
    link = 1 - (1 - shown) / (1 - leak)
    book = book_of({"meningitis": {"stiff": link}}, {"meningitis": prior}, {"stiff": leak})
    found = after(book, answer("stiff", True))
    assert found.causes["meningitis"] == pytest.approx(expected, rel=1e-9)


def test_flu_network() -> None:
    """A felt fever is explained by flu and cold as in the printed network.

    Source: printed example with P(flu) 1e-4, P(cold) 0.01 and the chance of a felt fever 0.01,
    0.10, 0.90 and 0.95. It prints 0.011 and 0.009 from terms rounded to four places, and one term
    as 0.004455 that should be 0.00004455; the exact values of its tables are 0.010989 and
    0.008195. Its table is no noisy-OR (that would give 0.909 for both), so flu and cold enter as
    one cause with four modes.
    """
    flu, cold = 1e-4, 0.01
    modes = (
        Mode((1 - flu) * (1 - cold), ((0.01, 1),)),
        Mode((1 - flu) * cold, ((0.10, 1),)),
        Mode(flu * (1 - cold), ((0.90, 1),)),
        Mode(flu * cold, ((0.95, 1),)),
    )
    problem = Problem((modes,), ((0.0, 1.0),))
    found = solve_rows(
        problem, problem.weights[:, None], problem.fires[:, None], np.array([[[0.0], [1.0]]])
    )
    _, only_cold, only_flu, both = found.modes[:, 0]
    assert exp(found.log_mass[0]) == pytest.approx(0.010989, abs=5e-7)
    assert only_flu + both == pytest.approx(0.008195, abs=5e-7)
    assert only_cold + both == pytest.approx(0.09108, abs=5e-6)


def test_two_findings_of_one_disease() -> None:
    """Two findings at 80 and 70 % against 20 and 30 % lift a prior of 0.1 to 0.5091.

    Source: lecture example, 0.1 x 0.8 x 0.7 = 0.056 against 0.9 x 0.2 x 0.3 = 0.054; the
    quotient is computed.
    """
    links = {"first": 1 - 0.2 / 0.8, "second": 1 - 0.3 / 0.7}
    book = book_of({"ill": links}, {"ill": 0.1}, {"first": 0.2, "second": 0.3})
    found = after(book, answer("first", True), answer("second", True)).causes["ill"]
    assert found == pytest.approx(0.056 / (0.056 + 0.054), rel=1e-12)


def oil_after_test(prior: float) -> tuple[list[float], list[float]]:
    """Chances of a good and a bad test of the oil site, and of oil after each.

    P(good | oil) = 0.6 x 0.5 / 0.4 = 0.75 and P(good | dry) = 0.4 x 0.5 / 0.6 = 1/3, both from the
    printed figures for a prior of 0.4.
    """
    leak, link = 1 / 3, 1 - (1 - 0.75) / (1 - 1 / 3)
    book = book_of({"oil": {"good": link}}, {"oil": prior}, {"good": leak})
    found = what_if(network(book, ANY_DECK, History()), [{"good": True}, {"good": False}])
    return found.probability.tolist(), found.posterior[:, 0].tolist()


def best_of_site(oil: float) -> float:
    """The better of drilling (600 or -200 thousand) and leaving it."""
    return max(0.0, oil * 600 - (1 - oil) * 200)


def test_value_of_a_seismic_test() -> None:
    """The test is worth 20 thousand to the owner of the site, and perfect knowledge 120.

    Source, published: managerial-economics textbook example (the oil site): oil with 0.4, a gain of
    600 or a loss of 200 thousand, test good with 0.5, oil with 0.6 after a good test and 0.2 after
    a bad one; printed are 280 after a good test and 120 as the worth of perfect knowledge. The
    worth of the imperfect test and -40 for drilling after a bad one are computed from those.
    """
    chances, oil = oil_after_test(0.4)
    assert chances == pytest.approx([0.5, 0.5], abs=1e-12)
    assert oil == pytest.approx([0.6, 0.2], abs=1e-12)
    with_test = sum(p * best_of_site(o) for p, o in zip(chances, oil, strict=True))
    assert best_of_site(oil[0]) == pytest.approx(280)
    assert oil[1] * 600 - (1 - oil[1]) * 200 == pytest.approx(-40)
    assert with_test - best_of_site(0.4) == pytest.approx(20)
    assert 0.4 * best_of_site(1.0) - best_of_site(0.4) == pytest.approx(120)


def test_value_of_a_seismic_test_at_a_poorer_site() -> None:
    """With a prior of 0.28 the test is good with 0.45, and oil follows with 0.4667 or 0.1273.

    Source: practice question of the same textbook, published; its answers are computed.
    """
    chances, oil = oil_after_test(0.28)
    assert chances == pytest.approx([0.45, 0.55], abs=1e-12)
    assert oil == pytest.approx([0.466667, 0.127273], abs=5e-7)


@pytest.mark.parametrize("blocks", [2, 10])
def test_value_of_a_survey_of_one_oil_block(blocks: int) -> None:
    """Of n blocks, one of which holds oil worth C and each priced C/n, a survey is worth C/n.

    Source: Russell and Norvig, the chapter on simple decisions; from memory. The blocks are the
    modes of one cause, and the survey of the first is a bit that its mode alone sets.
    """
    worth, price = 100.0, 100.0 / blocks
    here, *elsewhere = (Mode(1 / blocks, ((1.0, 1),)), *[Mode(1 / blocks)] * (blocks - 1))
    problem = Problem(((here, *elsewhere),), ((1.0, 1.0),))
    found = solve_rows(
        problem,
        np.repeat(problem.weights[:, None], 2, axis=1),
        np.repeat(problem.fires[:, None], 2, axis=1),
        np.array([[[0.0, 1.0], [1.0, 0.0]]]),
    )
    gains = found.modes.max(axis=0) * worth - price
    assert np.exp(found.log_mass) == pytest.approx([1 / blocks, 1 - 1 / blocks], abs=1e-12)
    assert np.exp(found.log_mass) @ gains == pytest.approx(worth / blocks, rel=1e-12)
