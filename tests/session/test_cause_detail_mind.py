"""What would change the place of a cause, through the front door and in words."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from small_case import small_shelf, taken_in

from diag.errors import UnknownId
from diag.inference.posterior import OFTEN
from diag.session.mind import TOO_WIDE, change_of_mind, shares_in_words
from diag.session.session import Session


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """A deck that sounds and runs slow: a dry shaft is first by a hair, a worn belt second."""
    session = taken_in(small_shelf(tmp_path))
    session.answer("listen", "sound")
    session.measure("speed", -2.5)
    return session


def test_answers_are_told_with_chance_minutes_and_what_comes_first(session: Session) -> None:
    """A slack belt puts the belt first; opening and closing the lid is in the minutes."""
    assert session.change_of_mind("dry_shaft").answers == (
        "If 'Does the belt hang?' is answered 'It hangs' (52 % likely, 11 minutes), 'Worn belt' "
        "comes first.",
    )


def test_shares_are_told_beside_what_the_book_says(session: Session) -> None:
    """First the summary, then each share that changes the first cause, then the next step."""
    said = session.change_of_mind("dry_shaft").shares
    assert said[0].startswith("One share of the book off by half or double is enough")
    assert [line for line in said if "such decks or" in line] == [
        "If 19.8 % of such decks or fewer had 'Dry shaft' (the book says 20.0 %), 'Worn belt' "
        "would come first.",
        "If 47 % of such decks or more had 'Worn belt' (the book says 46 %), it would come first.",
    ]
    assert said[3:]
    assert all("he next step " in line for line in said[3:])


def test_a_cause_behind_is_told_what_brings_it_forward(session: Session) -> None:
    """For a cause that is not first, the answers and shares are those that put it there."""
    mind = session.change_of_mind("worn_belt")
    assert [line.partition("), ")[2] for line in mind.answers] == ["this one comes first."]
    assert mind.shares[0].endswith("is enough to put it first.")
    assert not any("next step" in line for line in mind.shares)


def test_an_answer_that_only_moves_a_cause_is_told_where_none_topples_it(tmp_path: Path) -> None:
    """Of a cause far ahead, the answer is told that would take most from it."""
    session = taken_in(small_shelf(tmp_path))
    session.answer("listen", "silent")
    session.measure("speed", -2.5)
    mind = session.change_of_mind("worn_belt")
    assert mind.answers[0] == "No single answer would put another cause first."
    assert "'Does the belt hang?' is answered 'It is firm'" in mind.answers[1]
    assert mind.shares[0].startswith("No share of the book alone")


def test_a_step_of_the_intake_is_told_as_such(tmp_path: Path) -> None:
    """What is asked of every deck hangs on no share."""
    mind = taken_in(small_shelf(tmp_path)).change_of_mind("worn_belt")
    assert mind.shares[-1] == "The next step belongs to the intake, whatever the shares are."


def test_nothing_is_guessed_where_too_much_hangs_together(session: Session) -> None:
    """Past the width that can be solved many times over, that is said and no estimate is told."""
    found = session.snapshot.assessment
    assert found is not None
    wide = replace(found.situation, now=replace(found.posterior, width=OFTEN + 1))
    mind = change_of_mind(wide, found.steps[0], "dry_shaft")
    assert mind.answers == mind.shares == (TOO_WIDE,)


def test_a_cause_that_the_deck_can_not_have_is_refused(session: Session) -> None:
    """An id that is not in the ranking is told, not worked out."""
    with pytest.raises(UnknownId, match="no cause that this deck"):
        session.change_of_mind("worn")


@pytest.mark.parametrize(
    ("shares", "words"),
    [
        ((0.31, 0.12), ("31 %", "12 %")),
        ((0.0764, 0.0758), ("7.64 %", "7.58 %")),
        ((0.128, 0.1304), ("12.8 %", "13.0 %")),
        ((0.0004, 0.0002), ("0.04 %", "0.02 %")),
    ],
)
def test_two_shares_are_told_apart(shares: tuple[float, ...], words: tuple[str, ...]) -> None:
    """Shares that would round to the same have more digits."""
    assert shares_in_words(*shares) == words
