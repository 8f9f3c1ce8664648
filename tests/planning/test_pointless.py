"""What is not asked while a sign stands that leaves nothing to find out by it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from oracles import answer, book_of
from situations import ids, situation

from diag.model.book import Book
from diag.model.figures import SignId
from diag.model.history import Mended, Step
from diag.model.symptom import Symptom, WalkStep
from diag.planning.policy import next_steps


def _book(**more: object) -> Book:
    """A tape that doesn't go in can't waver."""
    book = book_of(
        shows={"hook": {"stuck": 0.9}, "belt": {"wavers": 0.9}},
        priors={"hook": 0.2, "belt": 0.2},
        leaks={"stuck": 0.01, "wavers": 0.01},
        remedies={"free": (0.9, ["hook"])},
    )
    barred = replace(book.checks["ask_wavers"], not_while=(SignId("stuck"),))
    return replace(book, checks={**book.checks, "ask_wavers": barred}, **more)


@pytest.mark.parametrize(
    ("said", "is_asked"),
    [
        ([], True),
        ([answer("stuck", True)], False),
        ([answer("stuck", True, "fairly")], False),
        ([answer("stuck", False)], True),
        ([answer("stuck", True), Mended("free")], False),
        ([answer("stuck", True), Mended("free"), answer("stuck", False)], True),
        ([answer("stuck", False), answer("stuck", True)], False),
    ],
)
def test_barred_until_an_answer_lets_it_in(said: list[Step], is_asked: bool) -> None:
    """The last word on the sign counts; a remedy alone is none."""
    at = situation(_book(), *said)
    assert ("ask_wavers" in at.asked) is is_asked
    assert ("ask_wavers" in ids(next_steps(at))) is is_asked
    assert "ask_wavers" in at.open_checks


@pytest.mark.parametrize(
    ("signs", "is_asked"), [(("stuck",), False), (("stuck", "wavers"), True), (("wavers",), True)]
)
def test_a_complaint_bars_if_it_means_one_sign(signs: tuple[str, ...], is_asked: bool) -> None:
    """What the owner tells counts until it is looked at, unless it may mean something else."""
    told = Symptom(id="told", says="Told", signs=tuple(map(SignId, signs)))
    book = _book(symptoms={"told": told})
    assert ("ask_wavers" in situation(book, symptoms=("told",)).asked) is is_asked
    denied = situation(book, answer("stuck", False), symptoms=("told",))
    assert "ask_wavers" in denied.asked


def test_intake_leaves_out_what_is_barred_and_comes_back_to_it() -> None:
    """The intake goes on without it, and asks it as soon as an answer says that it can be asked."""
    book = _book(intake=("ask_stuck", "ask_wavers"))
    stuck = answer("stuck", True)
    assert next_steps(situation(book))[0].id == "ask_stuck"
    assert next_steps(situation(book, stuck))[0].by != "intake"
    freed = next_steps(situation(book, stuck, Mended("free"), answer("stuck", False)))[0]
    assert (freed.id, freed.by) == ("ask_wavers", "intake")


def test_walk_passes_over_what_is_barred() -> None:
    """A walk that comes to a barred check has ended for now."""
    walk = WalkStep(check="ask_wavers", why="First.")
    told = Symptom(id="told", says="Told", signs=(SignId("wavers"),), walk="w")
    book = _book(symptoms={"told": told}, walks={"w": walk})
    assert next_steps(situation(book, symptoms=("told",)))[0].by == "walk"
    barred = next_steps(situation(book, answer("stuck", True), symptoms=("told",)))
    assert "walk" not in {step.by for step in barred}


def test_final_test_asks_all_the_same() -> None:
    """A complaint that was never looked into doesn't keep the deck from its final test."""
    told = Symptom(id="told", says="Told", signs=(SignId("stuck"),))
    book = _book(symptoms={"told": told}, final_test=("ask_wavers",))
    at = situation(book, Mended("free"), symptoms=("told",), given_up=frozenset({"free"}))
    assert "ask_wavers" in ids(next_steps(at))
