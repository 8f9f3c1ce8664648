"""Recordings before and after a repair."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_case import record, small_shelf, taken_in

from diag.model.figures import Name, SourceId
from diag.model.specification import Limit, Specification
from diag.session.held_against import hold_against
from diag.session.session import Session
from diag.trail.before_after import Compared, before_and_after
from diag.trail.export import FORMATS
from diag.trail.judged import NOT_CHOSEN


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


STRICT = Specification(
    id="attic_deck",
    says="What its maker promised",
    source=SourceId("common_practice"),
    limits={
        Name("speed_error_percent"): Limit(
            id="speed_error_percent", says="Speed error", unit="%", within=0.25, tolerance=0.05
        )
    },
)


def test_chosen_specification_stays_with_the_case(tmp_path: Path) -> None:
    """Reopened from disk, each trail has its verdicts and margin without choosing again."""
    shelf = small_shelf(tmp_path)
    session = taken_in(shelf)
    record(session, -2.5, 0.1)
    session.mend("renew")
    record(session, -0.1, 0.05)
    assert session.judged is not None
    assert session.judged.note == NOT_CHOSEN
    hold_against(session, STRICT)
    again = shelf.reopen(session.case)
    assert again.judged is not None
    (row,) = again.judged.rows
    assert (again.judged.says, again.judged.note) == (STRICT.says, "")
    assert (row.was, row.verdict, row.wanted) == ("fail", "pass", "±0.25 (tolerance 0.05) %")
    assert row.margin == pytest.approx(0.2)
    for render in FORMATS.values():
        told = render(again.tell_trail())
        assert f"Figures held against: {STRICT.says}" in told
        assert NOT_CHOSEN not in told
    for form in ("markdown", "html"):
        assert "0.20 ± 0.05 %" in FORMATS[form](again.tell_trail()).replace("\\", "")
    again.undo()
    assert again.judged is not None
    assert again.judged.note == NOT_CHOSEN


def test_case_file_carries_the_specification(tmp_path: Path) -> None:
    """Where the specification itself isn't known, the verdicts are the same."""
    (tmp_path / "here").mkdir()
    (tmp_path / "there").mkdir()
    shelf = small_shelf(tmp_path / "here")
    session = taken_in(shelf)
    record(session, -0.5, 0.05)
    hold_against(session, STRICT)
    shelf.export_file(session.case, tmp_path / "a.case.json")
    other = small_shelf(tmp_path / "there")
    imported = other.reopen(other.import_file(tmp_path / "a.case.json").case_id)
    assert imported.judged == session.judged
    assert imported.judged is not None
    assert [(row.was, row.margin) for row in imported.judged.rows] == [
        ("fail", pytest.approx(-0.2))
    ]


def test_nothing_is_judged_without_a_recording(session: Session) -> None:
    """A specification alone makes no table."""
    hold_against(session, STRICT)
    assert session.judged is None
