"""Checks that move no cause, and checks that another outdoes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sound_book import cause, check, sign, sound_book

from diag.linting.idle_checks import check_moves_nothing, check_outdone
from diag.model.book import Book
from diag.model.check import Answer, Check
from diag.model.trait import Trait


def asked_of(link: float, leak: float, **more: object) -> Book:
    """The sound book with a check for a sign of this link and leak."""
    book = sound_book()
    return replace(
        book,
        traits={"drive": Trait(id="drive", ask="What?", one_of=("belt", "idler"))},
        signs={**book.signs, "hot": sign("hot", leak)},
        causes={"worn": cause("worn", {"dead": 0.9, "hot": link})},
        checks={**book.checks, "feel": check("feel", "hot", **more)},
    )


@pytest.mark.parametrize(
    ("link", "leak", "moves"),
    [
        (0.1, 0.2, False),  # present moves by 0.28 / 0.2 = 1.4, absent by 1 / 0.9 = 1.1
        (0.45, 0.2, False),  # 0.56 / 0.2 = 2.8, 1 / 0.55 = 1.8
        (0.55, 0.2, True),  # 0.64 / 0.2 = 3.2
        (0.7, 0.8, True),  # 0.94 / 0.8 = 1.2, 1 / 0.3 = 3.3
        (0.1, 0.0, True),  # it can't be there without a cause
        (1.0, 0.9, True),  # absent rules the cause out
    ],
)
def test_check_counts_if_an_answer_moves_odds_threefold(
    link: float, leak: float, moves: bool
) -> None:
    """Factors worked out by hand."""
    assert [f.words[:5] for f in check_moves_nothing(asked_of(link, leak))] == (
        [] if moves else ["feel:"]
    )


def test_check_for_other_decks_than_its_causes_moves_nothing() -> None:
    """Its only cause can't be in a deck that is asked."""
    book = asked_of(0.9, 0.01, where={"drive": ("idler",)})
    assert not [*check_moves_nothing(book)]
    belts = replace(book.causes["worn"], where={"drive": ("belt",)})
    assert [*check_moves_nothing(replace(book, causes={"worn": belts}))]


def test_absent_sign_counts_where_others_account_for_the_present_one() -> None:
    """An answer that moves little by itself rules a cause down beside another one.

    By itself 'hot and not loud' moves by 0.235 * 0.026 / (0.1 * 0.1) = 0.6 and 'both' by 2.5. With
    the heat accounted for, the silence stays: 0.026 against 0.1, a factor of 3.8.
    """
    book = sound_book()
    answers = {
        "cold": Answer(id="cold", absent=("hot",)),
        "both": Answer(id="both", present=("hot", "loud")),
        "hot_only": Answer(id="hot_only", present=("hot",)),
    }
    listen = check("listen", "hot", answers=answers)
    book = replace(
        book,
        signs={**book.signs, "hot": sign("hot", 0.1), "loud": sign("loud", 0.9)},
        causes={"worn": cause("worn", {"dead": 0.9, "hot": 0.15, "loud": 0.74})},
        checks={**book.checks, "listen": listen},
    )
    assert not [*check_moves_nothing(book)]
    quieter = cause("worn", {"dead": 0.9, "hot": 0.15, "loud": 0.5})
    assert [*check_moves_nothing(replace(book, causes={"worn": quieter}))]


def outdone(*checks: Check) -> list[str]:
    """What is told of a book with these checks."""
    book = replace(sound_book(), checks={c.id: c for c in checks})
    return [found.words.split(" tells")[0] for found in check_outdone(book)]


LOOK = check("look", "dead", minutes=2, tools=("torch",))


@pytest.mark.parametrize(
    "better",
    [
        {},
        {"minutes": 1},
        {"tools": ()},
        {"where": {}},
    ],
)
def test_check_is_outdone_by_one_as_good(better: dict[str, object]) -> None:
    """The other costs no more of anything."""
    other = replace(LOOK, id="glance", **better)
    assert outdone(other, LOOK) == ["look: glance"]


@pytest.mark.parametrize(
    "worse",
    [
        {"minutes": 3},
        {"tools": ("torch", "meter")},
        {"at": "lid"},
        {"live": True},
        {"where": {"drive": ("belt",)}},
    ],
)
def test_check_that_costs_more_of_anything_outdoes_none(worse: dict[str, object]) -> None:
    """It is itself outdone, and the first is not."""
    other = replace(LOOK, id="glance", **worse)
    assert outdone(other, LOOK) == ["glance: look"]


def test_of_two_that_are_the_same_the_later_is_told() -> None:
    """One of them stays."""
    assert outdone(LOOK, replace(LOOK, id="again")) == ["again: look"]


def test_coarser_answers_do_not_outdo_finer_ones() -> None:
    """The same two signs, once told apart and once not."""
    fine = check(
        "fine",
        "dead",
        answers={
            "both": Answer(id="both", present=("dead", "hot")),
            "dead": Answer(id="dead", present=("dead",), absent=("hot",)),
            "hot": Answer(id="hot", present=("hot",), absent=("dead",)),
            "none": Answer(id="none", absent=("dead", "hot")),
        },
    )
    coarse = replace(
        fine,
        id="coarse",
        answers={
            "not_hot": Answer(id="not_hot", absent=("hot",)),
            "both": Answer(id="both", present=("hot", "dead")),
            "hot_only": Answer(id="hot_only", present=("hot",)),
        },
    )
    assert outdone(coarse, fine) == ["coarse: fine"]
    assert outdone(fine, coarse) == ["coarse: fine"]


def test_other_signs_are_no_rival() -> None:
    """One that asks for a sign more or less is another check."""
    assert outdone(LOOK, check("feel", "hot")) == []
