"""Recordings before and after a repair."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_case import record, small_shelf, taken_in

from diag.session.session import Session
from diag.trail.before_after import Compared, before_and_after


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """A deck just taken in."""
    return taken_in(small_shelf(tmp_path))


def speed(session: Session) -> Compared:
    """The one kind of measurement of the case."""
    (found,) = before_and_after(session.snapshot.state)
    return found


def test_no_recording_no_figures(session: Session) -> None:
    """A case without recordings has nothing to compare."""
    assert before_and_after(session.snapshot.state) == ()


def test_last_of_each_side_of_the_first_remedy_counts(session: Session) -> None:
    """Of two takes before the repair the second counts, of two after it the last."""
    for percent in (-3.0, -2.5):
        record(session, percent, 0.1)
    session.mend("oil", "given_up")
    record(session, -2.4, 0.1)
    session.mend("renew")
    for percent in (-0.4, -0.3):
        record(session, percent, 0.1)
    (row,) = speed(session).rows
    assert (row.before, row.after) == (-2.4, -0.3)
    assert (row.before_uncertainty, row.after_uncertainty) == (0.1, 0.1)
    assert (row.key, row.unit) == ("speed_error_percent", "%")


def test_remedy_taken_back_turns_after_into_before(session: Session) -> None:
    """What was not mended was recorded before the repair."""
    session.mend("renew")
    record(session, -0.3, 0.1)
    assert speed(session).rows[0].before is None
    session.strike(3)
    assert speed(session).after is None
    assert speed(session).rows[0].before == -0.3


def test_struck_recording_is_gone(session: Session) -> None:
    """Undo takes it out of the comparison."""
    record(session, -2.5, 0.1)
    session.undo()
    assert before_and_after(session.snapshot.state) == ()
