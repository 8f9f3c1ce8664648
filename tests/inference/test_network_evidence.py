"""Which evidence a history gives: complaints, certainty, repeats, contradictions, repairs."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import pytest
from oracles import ANY_DECK, answer, book_of

from diag.errors import ImpossibleEvidence, UnknownId
from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.deciding import TYPICAL_AGE_YEARS
from diag.model.figures import Prior
from diag.model.history import Given, History, Mended, Opened
from diag.model.trait import Deck

BOOK = book_of(
    shows={"glazed": {"dead": 0.7, "spills": 0.4}, "open_coil": {"dead": 0.5, "silent": 0.9}},
    priors={"glazed": 0.3, "open_coil": 0.05},
    leaks={"dead": 0.01, "spills": 0.02, "silent": 0.01},
    remedies={"clean": (0.6, ["glazed"])},
    layers={"lid": {"open_coil": 0.2}},
)


def pairs(*steps: Given | Mended | Opened, symptoms: tuple[str, ...] = ()) -> object:
    """The evidence pairs of a history on the book above."""
    return network(BOOK, ANY_DECK, History(symptoms, steps)).pairs


def test_fairly_sure_answer_is_soft() -> None:
    """Fairly sure is evidence of four to one, and certain excludes the other state."""
    given = pairs(
        answer("dead", True, "fairly"), answer("spills", False, "fairly"), answer("silent", True)
    )
    assert given == {("dead", 0): (0.2, 0.8), ("spills", 0): (0.8, 0.2), ("silent", 0): (0.0, 1.0)}


def test_complaint_gives_way_to_an_answer() -> None:
    """A complaint counts nine to one for its sign, once, until a check asks for the sign."""
    assert pairs(symptoms=("told_dead", "told_dead")) == {("dead", 0): (0.1, 0.9)}
    assert pairs(answer("dead", False), symptoms=("told_dead",)) == {("dead", 0): (1.0, 0.0)}


def test_complaint_stays_beside_an_answer_after_the_repair() -> None:
    """What the owner told was before the repair, so an answer after it leaves it standing."""
    given = pairs(Mended("clean"), answer("dead", False), symptoms=("told_dead",))
    assert given == {("dead", 0): (0.1, 0.9), ("dead", 1): (1.0, 0.0)}


def test_repeated_check_replaces_its_answer() -> None:
    """The last of two answers to one check counts if nothing was touched between."""
    assert pairs(answer("dead", True), answer("dead", False)) == {("dead", 0): (1.0, 0.0)}


def test_opening_what_upsets_nothing_near_keeps_the_block() -> None:
    """Asking again counts as new only for signs whose causes were touched."""
    steps = (answer("dead", True), answer("spills", True), Opened("lid"))
    again = (answer("dead", False), answer("spills", False))
    assert pairs(*steps, *again) == {
        ("dead", 0): (0.0, 1.0),
        ("dead", 1): (1.0, 0.0),
        ("spills", 0): (1.0, 0.0),
    }


def test_contradiction_is_listed_and_does_not_count() -> None:
    """Certain answers of different checks that disagree on a sign both leave it open."""
    other = replace(BOOK.checks["ask_dead"], id="other")
    book = replace(BOOK, checks={**BOOK.checks, "other": other})
    given = (answer("dead", True), Given("other", "gone"), answer("silent", True))
    for steps in permutations(given):
        found = network(book, ANY_DECK, History((), steps))
        assert found.pairs == {("silent", 0): (0.0, 1.0)}
        (contradiction,) = found.contradictions
        assert contradiction.sign == "dead"
        assert {*contradiction.present, *contradiction.absent} == {given[0], given[1]}


def test_vanished_sign_points_at_what_was_mended() -> None:
    """A sign gone after a remedy speaks against the causes that it left; one that stays, for."""
    before = History((), (answer("dead", True), Mended("clean")))
    gone = History((), (*before.steps, answer("dead", False)))
    stays = History((), (*before.steps, answer("dead", True)))
    believed = [
        solve(network(BOOK, ANY_DECK, h)).causes["open_coil"] for h in (gone, before, stays)
    ]
    assert believed[0] < believed[1] < believed[2]


def test_opening_brings_about_what_it_upsets() -> None:
    """Each opening joins its chance to the prior, and a remedy takes its share."""
    opened = solve(network(BOOK, ANY_DECK, History((), (Opened("lid"), Opened("lid")))))
    assert opened.causes["open_coil"] == pytest.approx(1 - 0.95 * 0.8 * 0.8, abs=1e-15)
    mended = solve(network(BOOK, ANY_DECK, History((), (Mended("clean"),))))
    assert mended.causes["glazed"] == pytest.approx(0.3 * 0.4, abs=1e-15)


def test_known_trait_rules_causes_out() -> None:
    """A cause that the deck can't have is left out; an unknown trait leaves it in."""
    glazed = replace(BOOK.causes["glazed"], where={"drive": ("belt",)})
    book = replace(BOOK, causes={**BOOK.causes, "glazed": glazed})
    direct = network(book, Deck(traits={"drive": "direct"}), History())
    assert set(solve(direct).causes) == {"open_coil"}
    assert set(solve(network(book, Deck(), History())).causes) == {"glazed", "open_coil"}


def test_prior_follows_age_and_factor() -> None:
    """The prior is that of the deck's age, or of the typical one, times the factor on its odds."""
    aged = replace(BOOK.causes["glazed"], prior=Prior(((20.0, 0.1), (TYPICAL_AGE_YEARS, 0.5))))
    book = replace(BOOK, causes={"glazed": aged})
    assert solve(network(book, Deck(age_years=20), History())).causes == {"glazed": 0.1}
    assert solve(network(book, Deck(), History())).causes == {"glazed": 0.5}
    raised = solve(network(book, Deck(), History(), {"glazed": 3.0}))
    assert raised.causes["glazed"] == pytest.approx(0.75, abs=1e-15)


def test_impossible_evidence_names_who_said_it() -> None:
    """A sign that nothing can bring about, said to be present, is told with its answer."""
    book = book_of({"glazed": {"dead": 0.7}}, {"glazed": 0.3}, {"dead": 0.01, "silent": 0.0})
    with pytest.raises(ImpossibleEvidence, match=r"silent.*ask_silent: there"):
        solve(network(book, ANY_DECK, History((), (answer("silent", True),))))


def test_certain_cause_with_certain_sign_is_missed() -> None:
    """A sign that must be there, said to be absent, is impossible evidence, too."""
    book = book_of({"glazed": {"dead": 1.0}}, {"glazed": 1.0}, {"dead": 0.01})
    with pytest.raises(ImpossibleEvidence, match="dead"):
        solve(network(book, ANY_DECK, History((), (answer("dead", False),))))


@pytest.mark.parametrize(
    "history",
    [
        History(("told_deed",)),
        History((), (Given("ask_deed", "there"),)),
        History((), (Given("ask_dead", "ther"),)),
        History((), (Mended("clear"),)),
        History((), (Opened("lit"),)),
    ],
    ids=["symptom", "check", "answer", "remedy", "layer"],
)
def test_unknown_name_is_refused(history: History) -> None:
    """A history that names what the book doesn't have is refused with the nearest name."""
    with pytest.raises(UnknownId, match=r"Did you mean '(told_dead|ask_dead|there|clean|lid)'"):
        network(BOOK, ANY_DECK, history)
