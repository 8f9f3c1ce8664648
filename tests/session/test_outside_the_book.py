"""What the book can't account for is told once nothing in it is worth its minutes, not before."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from small_case import small_shelf, taken_in

from diag.planning.outside import Unexplained
from diag.session.assessment import Assessment
from diag.session.session import Session
from diag.session.words import outside_in_words

WORDS = (
    "Outside the book: 'no sound' stays, and no fault that the book knows accounts for it (42 %). "
    "Write down what you find; nothing more in the book is worth its minutes."
)


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """A deck that is silent with a new belt; its speed is still to be measured."""
    session = taken_in(small_shelf(tmp_path))
    session.answer("listen", "silent")
    session.mend("renew")
    session.answer("listen", "silent")
    return session


def assessed(session: Session) -> Assessment:
    """The assessment of the case as it stands."""
    assert session.snapshot.assessment is not None
    return session.snapshot.assessment


def test_nothing_is_outside_while_a_step_is_worth_its_minutes(session: Session) -> None:
    """The sign is there already, but the belt and the rest of the final test come first."""
    found = assessed(session)
    assert found.steps[0].is_worth_it
    assert found.outside == ()
    assert outside_in_words(session.book, found) == ""


def test_sign_without_a_cause_is_told_when_nothing_is_worth_it(session: Session) -> None:
    """With the speed right, only the silence is left, and every step costs more than it saves."""
    session.measure("speed", 0.0)
    found = assessed(session)
    assert not found.steps[0].is_worth_it
    assert [sign.sign for sign in found.outside] == ["silent"]
    assert outside_in_words(session.book, found) == WORDS


def test_chance_within_bounds_is_told_as_about(session: Session) -> None:
    """An estimate is not told as if it were exact; every sign is told with its own chance."""
    session.measure("speed", 0.0)
    found = assessed(session)
    bounds = dict.fromkeys(found.posterior.causes, (0.0, 1.0))
    bounded = replace(
        found,
        outside=(Unexplained("silent", 0.84), Unexplained("slow", 0.6)),
        posterior=replace(found.posterior, bounds=bounds),
    )
    said = outside_in_words(session.book, bounded)
    assert "'no sound' stays, and no fault that the book knows accounts for it (about 84 %)" in said
    assert "'too slow' stays, and no fault that the book knows accounts for it (about 60 %)" in said


def test_deck_that_is_well_has_nothing_outside(session: Session) -> None:
    """Once it sounds, the final test stands passed and there is nothing to account for."""
    session.measure("speed", 0.0)
    session.answer("listen", "sound")
    assert assessed(session).is_well
    assert assessed(session).outside == ()


def test_trail_tells_it_to_the_next_sitting(session: Session) -> None:
    """It is the first of the open questions, and gone with the answer that brought it up."""
    session.measure("speed", 0.0)
    assert session.tell_trail().open_questions[0] == WORDS
    session.undo()
    assert not any("Outside" in line for line in session.tell_trail().open_questions)
