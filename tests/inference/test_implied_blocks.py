"""Answers that settle what others said before or after a repair, and so need no bit of theirs."""

from __future__ import annotations

from dataclasses import replace

import pytest
from drawn_repairs import SIGNS, repaired_decks
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from oracles import ANY_DECK, answer, book_of

from diag.errors import ImpossibleEvidence
from diag.inference.network import Network, network
from diag.inference.posterior import solve
from diag.inference.what_if import what_if
from diag.model.book import Book
from diag.model.history import History, Mended, Opened, Step, Sure
from diag.model.layer import Layer

FEW = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))


def mended_over_and_over(said: tuple[bool, ...], *between: Step, last: Sure = "certain") -> Network:
    """A sign that two causes show, answered again after each repair of one of them."""
    book = book_of(
        shows={"idler": {"dead": 0.7, "noisy": 0.4}, "belt": {"dead": 0.5, "noisy": 0.6}},
        priors={"idler": 0.3, "belt": 0.2},
        leaks={"dead": 0.01, "noisy": 0.1},
        remedies={"mend": (0.6, ["idler"])},
        layers={"lid": {"belt": 0.1}},
    )
    steps: list[Step] = [answer("noisy", True)]
    for number, there in enumerate(said, start=1):
        sure = last if number == len(said) else "certain"
        steps += [*between, Mended("mend"), answer("dead", there, sure)]
    return network(book, ANY_DECK, History(("told_dead",), tuple(steps)))


def kept_apart(book: Book, history: History) -> Network:
    """The same with an opening before each repair that may upset what it mends, but never does."""
    layers = {
        remedy: Layer(
            id=remedy, under="outside", open_minutes=1.0, close_minutes=1.0, upsets=upsets
        )
        for remedy, causes in book.mends.items()
        if (upsets := dict.fromkeys(causes, 0.0))
    }
    steps: list[Step] = []
    for step in history.steps:
        steps += [Opened(step.remedy), step] if isinstance(step, Mended) else [step]
    opened = replace(book, layers={**book.layers, **layers})
    return network(opened, ANY_DECK, History(history.symptoms, tuple(steps)))


def test_sign_that_stays_through_repairs_needs_one_block() -> None:
    """The last time that it was seen says that it was there each time before."""
    net = mended_over_and_over((True,) * 6)
    assert net.spoken["dead"] == (("dead", 6),)
    assert sorted(net.implied) == [("dead", block) for block in range(6)]


def test_sign_that_vanished_needs_two_blocks() -> None:
    """Seen, seen, gone, gone: the second and the third answer say it all."""
    net = mended_over_and_over((True, True, False, False))
    assert net.spoken["dead"] == (("dead", 2), ("dead", 3))


def test_opening_that_may_bring_a_cause_about_keeps_blocks_apart() -> None:
    """What is seen after it may have come with it."""
    net = mended_over_and_over((True, True), Opened("lid"))
    assert not net.implied


def test_sign_that_comes_back_by_itself_is_impossible() -> None:
    """Gone, and back after another repair: nothing in the book does that."""
    with pytest.raises(ImpossibleEvidence, match="dead"):
        solve(mended_over_and_over((True, False, True)))


def test_vanished_sign_stays_so_in_what_ifs() -> None:
    """A sign that was gone is so after one more repair, even if it then seemed to be back."""
    net = mended_over_and_over((True, False, True), last="fairly")
    assert net.spoken["dead"] == (("dead", 1), ("dead", 2))
    found = what_if(net, [{"dead": True}, {"dead": False}])
    assert found.probability == pytest.approx([0, 1], abs=1e-15)


@FEW
@given(repaired_decks(most_epochs=4), st.sampled_from(SIGNS))
def test_implied_answers_change_no_figure(drawn: tuple[Book, History], sign: str) -> None:
    """Every figure is that of the same history with its blocks kept apart."""
    book, history = drawn
    net = network(book, ANY_DECK, history)
    apart = kept_apart(book, history)
    rows = [{sign: True}, {sign: False}]
    try:
        whole = solve(apart)
    except ImpossibleEvidence:
        with pytest.raises(ImpossibleEvidence):
            solve(net)
        return
    found = solve(net)
    assert found.log_evidence == pytest.approx(whole.log_evidence, rel=0, abs=1e-12)
    assert found.causes == pytest.approx(whole.causes, rel=0, abs=1e-12)
    after, before = what_if(net, rows, found), what_if(apart, rows, whole)
    assert after.probability == pytest.approx(before.probability, rel=0, abs=1e-11)
