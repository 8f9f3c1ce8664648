"""What answers weigh for a cause, and how badly they go together."""

from __future__ import annotations

from math import log, log10

import pytest
from oracles import ANY_DECK, answer, book_of, enumerated

from diag.inference.network import Network, network
from diag.inference.weight import LARGE, conflict, weights
from diag.model.book import Book
from diag.model.history import Given, History

BOOK = book_of(
    shows={"glazed": {"dead": 0.7, "spills": 0.4}, "open_coil": {"dead": 0.5, "silent": 0.9}},
    priors={"glazed": 0.3, "open_coil": 0.05},
    leaks={"dead": 0.01, "spills": 0.02, "silent": 0.01},
)


def net_of(book: Book, *steps: Given, symptoms: tuple[str, ...] = ()) -> Network:
    """The network of these answers."""
    return network(book, ANY_DECK, History(symptoms, steps))


def test_single_answer_weighs_its_likelihood_ratio() -> None:
    """One absent sign weighs ten times the logarithm of the chance that the cause leaves it out."""
    given = answer("spills", False)
    assert weights(net_of(BOOK, given), "glazed")[given] == pytest.approx(10 * log10(0.6))


def test_weight_is_the_change_when_left_out() -> None:
    """Among several answers, each weighs the change of log-odds that leaving it out makes."""
    steps = (answer("dead", True), answer("silent", False), answer("spills", True, "fairly"))
    found = weights(net_of(BOOK, *steps, symptoms=("told_silent",)), "glazed")
    whole = enumerated(BOOK, History((), steps)).causes["glazed"]
    for step in steps:
        others = tuple(other for other in steps if other is not step)
        less = enumerated(BOOK, History((), others)).causes["glazed"]
        ratio = (whole / (1 - whole)) / (less / (1 - less))
        assert found[step] == pytest.approx(10 * log10(ratio), abs=1e-9)
    assert set(found) == set(steps)


def test_answer_on_another_matter_weighs_nothing() -> None:
    """An answer that shares nothing with a cause weighs zero."""
    given = answer("silent", True)
    assert weights(net_of(BOOK, given), "glazed")[given] == pytest.approx(0, abs=1e-9)


def test_supporting_answers_have_no_conflict() -> None:
    """Two signs of one cause are likelier together than apart, so nothing is named."""
    steps = (answer("dead", True), answer("silent", True))
    found = conflict(net_of(BOOK, *steps))
    alone = [enumerated(BOOK, History((), (step,))).evidence for step in steps]
    joint = enumerated(BOOK, History((), steps)).evidence
    assert found.nats == pytest.approx(log(alone[0] * alone[1] / joint), abs=1e-12)
    assert found.nats < 0
    assert found.worst is None


def test_conflict_names_the_odd_answer() -> None:
    """Of three answers to what one cause shows, the one that disagrees sits worst with the rest."""
    shows = {"belt_off": {"stopped": 0.999, "quiet": 0.999, "slack": 0.999, "warm": 0.999}}
    leaks = dict.fromkeys(shows["belt_off"], 0.001)
    book = book_of(shows, {"belt_off": 0.3}, leaks)
    agreeing = [answer(sign, True) for sign in ("stopped", "quiet", "slack")]
    found = conflict(net_of(book, *agreeing, answer("warm", False)))
    assert found.worst == answer("warm", False)
    assert found.worst_nats > log(20)


def test_all_that_sits_badly_is_listed_worst_first() -> None:
    """Two odd answers are both named, the odder one first, and those that agree are not."""
    shows = {"belt_off": {"stopped": 0.999, "quiet": 0.999, "slack": 0.999, "warm": 0.9}}
    shows["belt_off"]["loose"] = 0.99
    book = book_of(shows, {"belt_off": 0.3}, dict.fromkeys(shows["belt_off"], 0.001))
    agreeing = [answer(sign, True) for sign in ("stopped", "quiet", "slack")]
    odd = [answer("warm", False), answer("loose", False)]
    found = conflict(net_of(book, *odd, *agreeing))
    assert [ref for ref, _ in found.worst_first] == [odd[1], odd[0]]
    # As good as certain by the others, each is denied with 1 less its link, against 1 less what
    # prior and link make by themselves.
    for (_, nats), link in zip(found.worst_first, (0.99, 0.9), strict=True):
        alone = 0.3 * (1 - link) + 0.7
        assert nats == pytest.approx(log(alone / (1 - link)), abs=0.01)


def test_slight_conflict_names_nobody() -> None:
    """Answers a little less likely together than apart are told as a figure and no more."""
    found = conflict(net_of(BOOK, answer("dead", True), answer("spills", False)))
    assert 0 < found.nats < LARGE
    assert found.worst is None


def test_no_evidence_has_no_conflict() -> None:
    """Without answers there is nothing to weigh and nothing to disagree."""
    assert conflict(net_of(BOOK)).nats == pytest.approx(0, abs=1e-12)
    assert weights(net_of(BOOK), "glazed") == {}
