"""What is noted beside the ranking, in words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import log

from diag.inference.weight import Conflict
from diag.model.history import Given
from diag.model.trait import Deck
from diag.session.snapshot import Snapshot
from screens.app import BenchtrailApp
from screens.noted import doubted_checks, remarks


def snapshot_of(app: BenchtrailApp) -> Snapshot:
    """A deck whose hubs both turn."""
    session = app.engine.shelf().take_in("Deck", "tape", Deck(age_years=45), ["eats_tape"])
    return session.answer("hubs_in_play", "both")


def with_conflict(snapshot: Snapshot, worst: Given | str) -> Snapshot:
    """The same, with something that sits worst with the rest."""
    assert snapshot.assessment is not None
    conflict = Conflict(log(40), ((worst, log(25)),))
    return replace(snapshot, assessment=replace(snapshot.assessment, conflict=conflict))


def test_answer_that_sits_worst_is_named_and_can_be_asked_again(
    app_of: Callable[..., BenchtrailApp],
) -> None:
    """How badly it sits is said as a ratio, and the key that asks again is told."""
    given = Given("hubs_in_play", "both")
    snapshot = with_conflict(snapshot_of(app_of()), given)
    (told,) = remarks(snapshot)
    assert "'Both turn', to 'Start play with the well empty. Which hubs turn?'" in told.says
    assert told.says.endswith("g asks it again.")
    assert "25 times less likely" in told.because
    assert doubted_checks(snapshot) == ["hubs_in_play"]


def test_complaint_that_sits_worst_is_named_but_not_asked(
    app_of: Callable[..., BenchtrailApp],
) -> None:
    """A complaint is no check that could be asked again."""
    snapshot = with_conflict(snapshot_of(app_of()), "eats_tape")
    (told,) = remarks(snapshot)
    assert "The owner: Eats tape" in told.says
    assert "g asks" not in told.says
    assert doubted_checks(snapshot) == []


def test_trouble_and_what_the_book_lost_come_first(app_of: Callable[..., BenchtrailApp]) -> None:
    """What makes the ranking doubtful stands before everything else."""
    snapshot = replace(snapshot_of(app_of()), trouble="They clash.", left_out=("No 'x' now.",))
    assert [(r.mark, r.says) for r in remarks(snapshot)[:2]] == [
        ("!", "They clash."),
        ("!", "No 'x' now."),
    ]


def test_bounded_answer_says_so_and_what_would_settle_it(
    app_of: Callable[..., BenchtrailApp],
) -> None:
    """An answer that was only fairly sure is named; with none, the check of a complaint is."""
    exact = snapshot_of(app_of())
    assert exact.assessment is not None
    assert not any("Bounded" in remark.says for remark in remarks(exact))
    posterior = replace(exact.assessment.posterior, bounds={"idler_glazed": (0.1, 0.6)})
    bounded = replace(exact, assessment=replace(exact.assessment, posterior=posterior))
    first = remarks(bounded)[0]
    assert first.says.startswith("Bounded, not exact")
    assert "'Play one side to its end. What goes wrong?'" in first.says
    given = replace(exact.state.answers["hubs_in_play"], sure="fairly")
    state = replace(exact.state, answers={"hubs_in_play": given})
    assert "Which hubs turn?'" in remarks(replace(bounded, state=state))[0].says
