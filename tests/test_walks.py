"""The walks of the cassette book: safe after smoke, and not much slower than the planner."""

from __future__ import annotations

from functools import cache

import pytest

from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.history import History
from diag.model.symptom import WalkStep
from diag.model.trait import Deck
from diag.planning.policy import next_steps
from diag.planning.simulation.compare import Trial, compare
from diag.planning.simulation.drawn_deck import Kind
from diag.planning.simulation.score import PolicyScore, score
from diag.planning.situation import Situation
from diag.reading.book import read_book
from diag.reading.location import families, shipped

DECKS = 24
SEED = 7
ONE_TO_FOUR = (1, 4)
MOST = 1.6
"""Minutes with the walks alone over those of the planner: the goal set for the book."""


@cache
def book() -> Book:
    """The cassette book as it is shipped."""
    return read_book(shipped(), "cassette")


def with_walks(symptom: str) -> PolicyScore:
    """How the walks alone do on decks of which each owner tells a symptom."""
    kind = Kind(faults=ONE_TO_FOUR, symptom=symptom)
    trial = Trial(decks=DECKS, seed=SEED, policies=("planner", "walk"), kind=kind)
    return score(compare(book(), trial)).policies["walk"]


def test_every_complaint_has_a_walk() -> None:
    """A restorer who follows the author finds a way in for whatever the owner tells."""
    assert [s.id for s in book().symptoms.values() if s.walk is None] == []


def test_smoke_leads_to_no_power() -> None:
    """After smoke the walk asks only what is looked at or measured with the plug out."""
    steps = list(book().walks["smell_or_smoke"].every_step())
    assert steps[0].check == "mains_outside"
    assert [s.check for s in steps if book().checks[s.check].live] == []


def powered_unseen(book: Book, step: WalkStep, *, seen: bool = False) -> list[str]:
    """The powered checks to which a walk comes before anything inside was looked at."""
    check = book.checks[step.check]
    seen = seen or check.at != book.outside
    below = [c for s in step.then.values() for c in powered_unseen(book, s, seen=seen)]
    return [*([step.check] if check.live and not seen else []), *below]


@pytest.mark.parametrize("family", families(shipped()))
def test_smoke_is_followed_before_the_intake_powers_the_machine(family: str) -> None:
    """Its walk comes first, and looks inside before anything is switched on."""
    whole = read_book(shipped(), family)
    told = [symptom for symptom in whole.symptoms.values() if "smokes" in symptom.signs]
    assert told
    for symptom in told:
        assert symptom.walk is not None
        walk = whole.walks[symptom.walk]
        assert powered_unseen(whole, walk) == []
        history = History((symptom.id,))
        net = network(whole, Deck(), history)
        begun = Situation(whole, Deck(), history, net, solve(net))
        assert next_steps(begun)[0].id == walk.check


@pytest.mark.proof
def test_walks_take_at_most_so_much_more_than_the_planner() -> None:
    """Mean minutes to all faults mended with the walks alone, over the planner's."""
    slower = {}
    for symptom in book().symptoms.values():
        ratio = with_walks(symptom.id).planner_ratio if symptom.walk else None
        if ratio is not None and 1.0 / ratio > MOST:
            slower[symptom.id] = round(1.0 / ratio, 2)
    assert slower == {}
