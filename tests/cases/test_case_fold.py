from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from case_strategies import AT, cases, done_things
from hypothesis import given

from diag.cases.captured import Reading
from diag.cases.case_file import read_case_file
from diag.cases.events import (
    Acknowledged,
    Answered,
    Captured,
    Closed,
    Event,
    Measured,
    Noted,
    Opened,
    Remedied,
    Struck,
    TakenIn,
)
from diag.cases.fold import CaseState, fold
from diag.cases.held_against import HeldAgainst, KeptLimit
from diag.cases.part_kept import PartKept
from diag.cases.taken_apart import PutBack, TakenOff
from diag.errors import CaseError
from diag.model import history
from diag.model.found import Figure
from diag.model.history import Given, Mended
from diag.model.trait import Deck

GOLDEN = Path(__file__).parent / "golden" / "version_1.case.json"
INTAKE = TakenIn("A deck", "cassette", Deck(age_years=40.0), at=AT)

# These tell of the log itself, which a strike makes longer.
ABOUT_THE_LOG = {"last", "touched", "to_undo", "to_redo"}


def told(state: CaseState) -> dict[str, Any]:
    """All of a state but what only counts events."""
    return {
        field.name: getattr(state, field.name)
        for field in fields(state)
        if field.name not in ABOUT_THE_LOG
    }


def test_golden_case_of_version_1_still_folds() -> None:
    """A case file of the first version gives the state that it has always given."""
    state = fold(read_case_file(GOLDEN).events)
    assert state.deck == Deck(age_years=44.0, traits={"drive": "belt"})
    assert (state.name, state.family, state.story) == ("Deck from the attic", "cassette", "")
    assert state.history.symptoms == ("no_sound",)
    assert state.history.steps == (
        Given("hubs_in_play", "both", "certain", 3),
        history.Opened("lid", 6),
        Given("speed_error", "slow", "fairly", 7),
        Mended("new_belt", 10),
    )
    assert state.answers == {
        "hubs_in_play": Given("hubs_in_play", "both", "certain", 3),
        "speed_error": Given("speed_error", "slow", "fairly", 7),
    }
    assert state.measured["speed_error"].value == -2.5
    assert (state.cant_tell, state.skipped) == ({"meters_follow"}, set())
    assert state.acknowledged == {("mains", "speed_error")}
    assert state.remedies == (Mended("new_belt", 10),)
    assert state.given_up == (Mended("oil_motor", 11),)
    assert [(number, note.text) for number, note in state.notes] == [(13, "Runs; sound next time.")]
    assert state.open_layers == ()
    assert [number for number, _ in state.live] == [1, 2, 3, 4, 5, 6, 7, 10, 11, 12, 13, 14]
    assert state.started == datetime(2026, 3, 14, 9, 0, tzinfo=UTC)
    assert state.touched == datetime(2026, 3, 14, 9, 57, tzinfo=UTC)
    assert (state.last, state.to_undo, state.to_redo) == (14, 14, None)


@given(cases(), done_things)
def test_strike_restores_exactly(case: Sequence[Event], event: Event) -> None:
    """What was done and struck has left the case as it was."""
    struck = [*case, event, Struck(len(case) + 1, at=AT)]
    assert told(fold(struck)) == told(fold(case))


@given(cases(), done_things)
def test_striking_the_strike_restores_exactly(case: Sequence[Event], event: Event) -> None:
    """Undo and redo together change nothing."""
    done = [*case, event]
    redone: list[Event] = [*done, Struck(len(done), at=AT), Struck(len(done) + 1, at=AT)]
    assert told(fold(redone)) == told(fold(done))


@given(cases())
def test_undo_to_the_intake_and_redo_all(case: Sequence[Event]) -> None:
    """Stepping back as far as it goes leaves the intake; stepping forward brings all back."""
    log = list(case)
    before = fold(log)
    undone = 0
    while (number := fold(log).to_undo) is not None:
        log.append(Struck(number, at=AT))
        undone += 1
    assert fold(log).live == ((1, case[0]),)
    for _ in range(undone):
        number = fold(log).to_redo
        assert number is not None
        log.append(Struck(number, at=AT))
    assert told(fold(log)) == told(before)


@given(cases())
def test_fold_of_the_living_events_alone_is_the_same(case: Sequence[Event]) -> None:
    """Struck events and strikes have no effect but that the numbers go on."""
    state = fold(case)
    alone = fold([event for _, event in state.live])
    assert alone.history.symptoms == state.history.symptoms
    assert [replace(step, event=0) for step in alone.history.steps] == [
        replace(step, event=0) for step in state.history.steps
    ]
    assert (alone.deck, alone.open_layers) == (state.deck, state.open_layers)
    assert (alone.cant_tell, alone.skipped) == (state.cant_tell, state.skipped)
    assert alone.acknowledged == state.acknowledged


def test_redo_ends_when_something_else_is_done() -> None:
    """After an undo and a new step there is nothing to bring back."""
    undone: list[Event] = [INTAKE, Noted("a", at=AT), Struck(2, at=AT)]
    assert fold(undone).to_redo == 3
    assert fold([*undone, Noted("b", at=AT)]).to_redo is None


def test_intake_alone_cannot_be_undone() -> None:
    """A new case has nothing to undo or redo."""
    state = fold([INTAKE])
    assert (state.to_undo, state.to_redo, state.last) == (None, None, 1)


def test_later_intake_amends_and_can_be_struck() -> None:
    """What is known of the deck is what the last living intake says."""
    amended: list[Event] = [INTAKE, replace(INTAKE, deck=Deck(age_years=50.0))]
    assert fold(amended).deck.age_years == 50.0
    assert fold([*amended, Struck(2, at=AT)]).deck.age_years == 40.0


def test_latest_answer_stands_and_history_keeps_both() -> None:
    """An answer given anew replaces the one shown; the history tells both in order."""
    state = fold([INTAKE, Answered("hubs", "both", at=AT), Answered("hubs", "none", at=AT)])
    assert state.answers == {"hubs": Given("hubs", "none", "certain", 3)}
    assert [step.event for step in state.history.steps] == [2, 3]


def test_an_answer_ends_cant_tell_and_skipped() -> None:
    """A check that gets its answer in the end no longer counts as left out."""
    left: list[Event] = [
        INTAKE,
        Answered("hubs", "", "cant_tell", at=AT),
        Answered("hubs", "", "skipped", at=AT),
    ]
    state = fold(left)
    assert (state.cant_tell, state.skipped, state.history.steps) == (set(), {"hubs"}, ())
    state = fold([*left, Answered("hubs", "both", at=AT)])
    assert (state.cant_tell, state.skipped) == (set(), set())


def test_answer_without_a_value_replaces_the_measured_one() -> None:
    """No stale value is shown beside an answer that was given by hand."""
    measured: list[Event] = [INTAKE, Measured("speed", 2.0, "%", "fast", at=AT)]
    assert fold(measured).measured["speed"].value == 2.0
    assert fold([*measured, Answered("speed", "right", at=AT)]).measured == {}


def test_layers_stand_in_the_order_of_opening() -> None:
    """Opening twice is one opening; closing what is closed does nothing."""
    opened: list[Event] = [INTAKE, *(Opened(name, at=AT) for name in ("lid", "deck", "lid"))]
    state = fold([*opened, Closed("base", at=AT)])
    assert state.open_layers == ("lid", "deck")
    assert state.history.steps == (history.Opened("lid", 2), history.Opened("deck", 3))
    state = fold([*opened, Closed("lid", at=AT), Opened("lid", at=AT)])
    assert state.open_layers == ("deck", "lid")
    assert state.history.steps[-1] == history.Opened("lid", 6)


def test_remedy_given_up_is_no_step() -> None:
    """Work that was given up mends nothing."""
    state = fold([INTAKE, Remedied("oil", "given_up", at=AT), Acknowledged("heat", "oil", at=AT)])
    assert (state.history.steps, state.given_up) == ((), (Mended("oil", 2),))


@pytest.mark.parametrize(
    ("events", "found"),
    [
        ([], "no events"),
        ([Noted("a", at=AT)], "no intake"),
        ([INTAKE, Struck(2, at=AT)], "not there yet"),
        ([INTAKE, Struck(9, at=AT)], "not there yet"),
        ([INTAKE, PutBack(2, at=AT)], "not there yet"),
        ([INTAKE, TakenOff("lid", "belt", corrects=5, at=AT)], "not there yet"),
    ],
)
def test_what_is_no_case_is_refused(events: list[Event], found: str) -> None:
    """A log that nothing could have written is not guessed at."""
    with pytest.raises(CaseError) as caught:
        fold(events)
    assert found in caught.value.found


def test_recording_answers_its_checks_and_is_struck_whole() -> None:
    """Each reading is an answer like a typed one; one strike takes all of them and the figures."""
    speed = Figure(key="speed_error_percent", says="Speed", value=-2.0, uncertainty=0.1)
    readings = (
        Reading(check="speed_error", value=-2.0, unit="%", answer="slow"),
        Reading(check="wow_figure", value=0.19, unit="%", answer="steady", sure="fairly"),
    )
    heard = Captured("speed", "a.wav", (speed,), readings=readings, at=AT)
    earlier = Measured("speed_error", 0.5, "%", "right", at=AT)
    state = fold([INTAKE, earlier, heard])
    assert state.history.steps[1:] == (
        Given("speed_error", "slow", "certain", 3),
        Given("wow_figure", "steady", "fairly", 3),
    )
    assert state.measured["speed_error"].value == -2.0
    assert state.captures == ((3, heard),)
    assert told(fold([INTAKE, earlier, heard, Struck(3, at=AT)])) == told(fold([INTAKE, earlier]))


def test_correction_stands_under_the_first_number_until_it_is_struck() -> None:
    """A label that was written stays right, and undo brings the words of before back."""
    first = TakenOff("lid", "screw", 4, tray=1, at=AT)
    more = replace(first, count=5, corrects=2)
    again = replace(first, count=6, corrects=3)
    state = fold([INTAKE, first, more, again])
    assert state.taken_off == {2: again}
    assert fold([INTAKE, first, more, again, Struck(4, at=AT)]).taken_off == {2: more}
    assert fold([INTAKE, first, more, again, Struck(2, at=AT)]).taken_off == {3: again}


def test_latest_word_on_a_part_stands() -> None:
    """A part is one of its remedy: the same belt for other work is another."""
    wanted = PartKept("belt", "renew", at=AT)
    ordered = replace(wanted, state="ordered", price=3.0)
    other = PartKept("belt", "door", at=AT)
    state = fold([INTAKE, wanted, other, ordered])
    assert state.parts == {("renew", "belt"): ordered, ("door", "belt"): other}
    assert fold([INTAKE, wanted, ordered, Struck(3, at=AT)]).parts["renew", "belt"] == wanted


def test_latest_specification_stands() -> None:
    """Until it is taken back; then the one before it does, and in the end none."""
    most = KeptLimit(key="wow", says="Wow", unit="%", in_words="at most 0.2 %", highest=0.2)
    least = HeldAgainst("least", "The least", "x", (most,), at=AT)
    own = HeldAgainst("own", "By its maker", "x", (replace(most, highest=0.1),), at=AT)
    assert fold([INTAKE]).held_against is None
    assert fold([INTAKE, least, own]).held_against == own
    assert fold([INTAKE, least, own, Struck(3, at=AT)]).held_against == least
    assert fold([INTAKE, least, Struck(2, at=AT)]).held_against is None
