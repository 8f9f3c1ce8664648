"""What a trail tells of a case."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_case import small_shelf, taken_in, worked_on

from diag.model.trait import Deck
from diag.session.session import Session
from diag.session.shelf import Shelf
from diag.trail.trail import Trail, TrailStep


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """A deck just taken in."""
    return taken_in(small_shelf(tmp_path))


def step_of(trail: Trail, words: str) -> TrailStep:
    """The one step whose words begin so."""
    (found,) = [step for step in trail.steps if step.says.startswith(words)]
    return found


def test_trail_tells_the_deck_in_words_of_the_book(session: Session) -> None:
    """Family, traits, facts, age, story and complaints read as the book says them."""
    trail = session.tell_trail()
    assert trail.family == "Machines of this test"
    assert trail.known == (
        ("Age", "45 years"),
        ("What drives it?", "belt"),
        ("What is the strap set for?", "60 Hz"),
        ("What is the local mains?", "50 Hz"),
    )
    assert trail.story == "belt renewed before"
    assert trail.complaints == ("No sound",)


def test_every_event_is_a_step_with_its_number_time_and_kind(session: Session) -> None:
    """Nothing of the log is missing, strikes included."""
    events = worked_on(session).events
    steps = session.tell_trail().steps
    assert [step.number for step in steps] == list(range(1, len(events) + 1))
    assert [step.at for step in steps] == [event.at for event in events]
    assert [step.kind for step in steps[:5]] == [
        "taken_in",
        "symptom",
        "answered",
        "answered",
        "measured",
    ]


def test_rankings_around_a_step_are_those_that_the_bench_showed(session: Session) -> None:
    """Before and after an answer stand the probabilities of the snapshots around it."""
    before = session.snapshot
    after = session.answer("listen", "silent")
    assert before.assessment is not None
    assert after.assessment is not None
    told = step_of(session.tell_trail(), "Is there sound")
    for beliefs, found in ((told.before, before.assessment), (told.after, after.assessment)):
        assert [belief.id for belief in beliefs] == [cause.id for cause in found.ranking]
        assert [belief.probability for belief in beliefs] == pytest.approx(
            [cause.probability for cause in found.ranking], abs=1e-12
        )


def test_last_ranking_is_that_of_the_bench(session: Session) -> None:
    """The trail ends with what the bench shows now."""
    found = worked_on(session).snapshot.assessment
    assert found is not None
    assert [(b.id, b.probability) for b in session.tell_trail().ranking] == [
        (cause.id, cause.probability) for cause in found.ranking
    ]


def test_step_that_moves_nothing_has_no_ranking(session: Session) -> None:
    """A note and a check left for later leave the causes where they were."""
    trail = worked_on(session).tell_trail()
    for words in ("Note:", "Does the shaft"):
        assert step_of(trail, words).before == step_of(trail, words).after == ()


def test_amended_deck_moves_the_ranking_at_that_step_only(session: Session) -> None:
    """What was not known yet does not count for the steps before."""
    asked = session.answer("listen", "silent").assessment
    assert asked is not None
    session.correct("Deck 1", Deck(age_years=20.0), "", ["no_sound"])
    trail = session.tell_trail()
    answered, amended = step_of(trail, "Is there"), step_of(trail, "The deck told anew")
    assert answered.after == amended.before
    assert answered.after[0].probability == pytest.approx(asked.ranking[0].probability, abs=1e-12)
    assert amended.after[0].probability < amended.before[0].probability


def test_amended_deck_is_told_by_what_changed(session: Session) -> None:
    """A fact that is new, a trait that is another, and one that is left open again."""
    was = session.snapshot.state
    deck = Deck(age_years=was.deck.age_years, facts={**was.deck.facts, "local_hz": 60.0})
    session.correct("Deck 1", deck, was.story, ["no_sound"])
    assert step_of(session.tell_trail(), "The deck told anew").says == (
        "The deck told anew: Deck 1. What is the local mains? 60 Hz. "
        "What drives it? Not known any more."
    )
    session.correct("Deck 1", deck, "Another story.", ["no_sound"])
    last = session.tell_trail().steps[-1]
    assert last.says == "The deck told anew: Deck 1. The story of its owner."


def test_struck_steps_are_shown_struck_and_count_for_nothing(session: Session) -> None:
    """A struck answer has no ranking and no minutes; a remedy brought back is whole again."""
    trail = worked_on(session).tell_trail()
    firm, hangs = (s for s in trail.steps if s.says.startswith("Does the belt"))
    assert (firm.struck, firm.minutes, firm.after) == (True, 0.0, ())
    assert (hangs.struck, hangs.minutes) == (False, 2.0)
    assert hangs.after != ()
    assert not step_of(trail, "Given up").struck
    said = [step.says for step in trail.steps if step.kind == "struck"]
    assert said == ["Took back event 8", "Took back event 11", "Brought back event 11"]


def test_danger_counts_as_acknowledged_only_for_what_came_after(session: Session) -> None:
    """A lid that was opened before its danger was read says so."""
    session.open("lid")
    session.close("lid")
    session.acknowledge("mains", "look_belt")
    session.open("lid")
    session.answer("look_belt", "firm")
    steps = session.tell_trail().steps
    first, second = (step for step in steps if step.kind == "opened")
    assert [(c.severity, c.acknowledged) for c in first.cautions] == [("danger", False)]
    assert [(c.severity, c.acknowledged) for c in second.cautions] == [("danger", True)]
    (before_check,) = steps[-1].cautions
    assert (before_check.says, before_check.acknowledged) == ("Mains inside.", True)


def test_sure_and_minutes_are_those_of_each_step(session: Session) -> None:
    """A value, how sure it is, and the minutes of the book; a check left for later took none."""
    trail = worked_on(session).tell_trail()
    speed = step_of(trail, "What is the speed error?")
    assert speed.says == "What is the speed error? -2.5 %, Too slow (fairly sure)."
    assert (speed.sure, speed.minutes) == ("fairly", 3.0)
    assert (step_of(trail, "Does the shaft").sure, step_of(trail, "Note").sure) == ("skipped", "")
    assert step_of(trail, "Does the shaft").minutes == 0.0
    assert trail.minutes == session.snapshot.minutes == 1 + 3 + 4 + 2 + 20 + 20


def test_remedies_tell_outcome_parts_and_note(session: Session) -> None:
    """What was given up is there as well as what was done."""
    given_up, done = worked_on(session).tell_trail().remedies
    assert (given_up.outcome, given_up.note) == ("given up", "no oil here")
    assert (done.says, done.outcome, done.parts) == ("Renew the belt", "done", ("a belt",))


def test_thumbs_are_told_with_the_standing_of_their_source(session: Session) -> None:
    """A published source and common practice are told apart."""
    trail = worked_on(session).tell_trail()
    (cited,) = step_of(trail, "Done: Renew").thumbs
    assert (cited.standing, cited.source) == ("published", "A handbook of this test")
    (from_rule,) = trail.thumbs
    assert (from_rule.says, from_rule.standing) == ("Look at the strap first", "common practice")


def test_conclusions_of_rules_are_told(session: Session) -> None:
    """What a rule derives and warns of is there in words."""
    assert session.tell_trail().concluded == (
        "The strap is set for another country.",
        "Care: Fit no bigger fuse.",
    )


def test_open_questions_serve_the_next_sitting(session: Session) -> None:
    """Next steps, what was left for later and what lies open are all there."""
    trail = worked_on(session).tell_trail()
    step = session.snapshot.next_step
    assert step is not None
    told = " / ".join(trail.open_questions)
    assert step.why in told
    assert "Does the shaft turn freely? This was left for later." in told
    assert "Lid off: still open." in told
    assert trail.open_layers == ("Lid off",)


def test_passed_final_test_is_told(session: Session) -> None:
    """The trail of a deck that is well says so, and leaves no next step."""
    session.answer("listen", "silent")
    session.mend("renew")
    assert not session.tell_trail().is_well
    session.answer("listen", "sound")
    session.measure("speed", 0.2)
    trail = session.tell_trail()
    assert trail.is_well
    assert trail.open_questions == ()


def test_answers_that_cannot_be_together_leave_a_trail(session: Session) -> None:
    """The trail says that they count as doubtful, and ends with the bench's ranking."""
    session.answer("listen", "sound")
    session.mend("renew")
    session.answer("listen", "silent")
    found = session.snapshot.assessment
    assert found is not None
    trail = session.tell_trail()
    assert "fairly sure only" in trail.trouble
    assert trail.steps[-1].after[0].probability == pytest.approx(
        found.ranking[0].probability, abs=1e-12
    )


def test_old_case_tells_what_the_book_no_longer_has(tmp_path: Path) -> None:
    """Ids without an entry are told as they stand, and the two states of the book are named."""
    shelf = small_shelf(tmp_path)
    session = worked_on(taken_in(shelf))
    path = shelf.knowledge / "tape" / "belt.yaml"
    text = path.read_text(encoding="utf-8").replace("look_belt:", "see_belt:")
    text = text.replace("  renew:", "  replace:").replace("[renew]", "[replace]")
    path.write_text(text, encoding="utf-8")
    trail = Shelf(shelf.cases.path, shelf.knowledge).reopen(session.case).tell_trail()
    assert len(trail.left_out) == 2
    assert step_of(trail, "Done: renew").thumbs == ()
    assert [step.says for step in trail.steps if step.says.startswith("look_belt")] == [
        "look_belt firm.",
        "look_belt hangs.",
    ]
    assert trail.begun_with != trail.book_digest
    assert trail.begun_with in trail.books
