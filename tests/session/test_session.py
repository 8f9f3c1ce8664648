"""A case through the front door: every step is on disk, and can be taken back exactly."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest
from book_folder import BookFolder
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diag.cases.events import TakenIn
from diag.errors import CaseError, UnknownId
from diag.model.trait import Deck
from diag.session.session import Session
from diag.session.shelf import Shelf

BOOK = """\
signs:
  silent: {says: no sound, leak: 0.01}
  slow: {says: too slow, leak: 0.01}
  belt_slack: {says: the belt hangs, leak: 0.01}
causes:
  worn_belt:
    says: Worn belt
    prior: {20: 0.1, 45: 0.3}
    shows: {silent: 0.6, slow: 0.5, belt_slack: 0.9}
    mended_by: [renew]
    cites: [belts_age]
    raised_by: {strap_wrong: 2}
  dry_shaft: {says: Dry shaft, prior: 0.2, shows: {slow: 0.7}, mended_by: [oil]}
checks:
  listen:
    ask: Is there sound?
    at: outside
    minutes: 1
    cautions: [care]
    answers: {silent: {present: [silent]}, sound: {}}
  look_belt:
    ask: Does the belt hang?
    at: lid
    minutes: 2
    cautions: [mains]
    answers: {hangs: {present: [belt_slack]}, firm: {}}
  speed:
    ask: What is the speed error?
    at: outside
    minutes: 3
    measures: {quantity: speed_error, unit: "%"}
    answers: {slow: {below: -1.5, present: [slow]}, right: {}}
remedies:
  renew: {says: Renew the belt, minutes: 20, at: lid, cures: 0.9, parts: [belt]}
  oil: {says: Oil the shaft, minutes: 20, at: lid, cures: 0.9}
thumbs:
  belts_age: {says: Belts last some ten years, source: from_memory}
cautions:
  care: {says: Mind your fingers, severity: care}
  mains: {says: Mains inside, severity: danger, do: Unplug}
"""

FAMILY = """\
family: tape
says: Machines of this test
traits:
  drive: {ask: 'What drives it?', one_of: [belt, idler]}
layers:
  outside: {}
  lid: {under: outside, open: 4, close: 5, says: Lid}
symptoms:
  no_sound: {says: No sound, signs: [silent]}
intake: [listen]
final_test: [listen, speed]
rules:
  - id: strap
    when: {fact: strap_hz, differs_from: local_hz}
    then: [{derive: strap_wrong}]
"""


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    """A shelf with a small book and a clock that goes a minute a step."""
    folder = BookFolder(tmp_path / "knowledge")
    folder.put("family.yaml", FAMILY)
    folder.put("reels/idler.yaml", BOOK)
    ticks = count()
    start = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)

    def clock() -> datetime:
        return start + timedelta(minutes=next(ticks))

    return Shelf(tmp_path / "cases.sqlite3", folder.root, clock=clock)


@pytest.fixture
def session(shelf: Shelf) -> Session:
    """A deck that was taken in with a complaint."""
    return shelf.take_in("Deck 1", "tape", Deck(age_years=45), ["no_sound"], "opened before")


def ranking(session: Session) -> dict[str, float]:
    """The probabilities as they stand."""
    assert session.snapshot.assessment is not None
    return {cause.id: cause.probability for cause in session.snapshot.assessment.ranking}


def test_case_is_there_after_reopening(shelf: Shelf, session: Session) -> None:
    """Another window sees the same events, state and ranking."""
    session.answer("listen", "silent")
    session.measure("speed", -2.0)
    again = shelf.reopen(session.case)
    assert again.events == session.events
    assert ranking(again) == ranking(session)
    assert again.snapshot.state.measured["speed"].answer == "slow"
    assert [deck.name for deck in shelf.decks()] == ["Deck 1"]


def test_answer_moves_the_ranking_and_says_by_how_much(session: Session) -> None:
    """The change since the last answer is the difference of the two rankings."""
    before = ranking(session)
    session.answer("listen", "silent")
    assert session.snapshot.assessment is not None
    for cause in session.snapshot.assessment.ranking:
        assert cause.change == pytest.approx(cause.probability - before[cause.id], abs=1e-12)
    assert ranking(session)["worn_belt"] > before["worn_belt"]


SHARED = [HealthCheck.function_scoped_fixture]
"""Examples share a shelf: each takes in a deck of its own."""

STEPS = st.lists(
    st.sampled_from(
        [
            "silent",
            "sound",
            "hangs",
            "firm",
            "fast",
            "slow",
            "tell",
            "open",
            "mend",
            "note",
            "aside",
        ]
    ),
    max_size=6,
)


def do(session: Session, step: str) -> None:
    """One thing that a restorer may do."""
    match step:
        case "silent" | "sound":
            session.answer("listen", step)
        case "hangs" | "firm":
            session.answer("look_belt", step, "fairly")
        case "fast" | "slow":
            session.measure("speed", {"fast": 3.0, "slow": -3.0}[step])
        case "tell":
            session.tell("no_sound")
        case "open":
            session.open("lid")
        case "mend":
            session.mend("renew")
        case "note":
            session.note("a note")
        case "aside":
            session.put_aside("look_belt", "cant_tell")


@given(before=STEPS, then=st.sampled_from(["silent", "hangs", "slow", "open", "mend", "aside"]))
@settings(max_examples=25, deadline=None, suppress_health_check=SHARED)
def test_strike_restores_exactly(shelf: Shelf, before: list[str], then: str) -> None:
    """After undo all is as it was, to the last bit; after redo as it had become."""
    session = shelf.take_in("Deck", "tape", Deck(age_years=30), [])
    for step in before:
        do(session, step)
    first, state = ranking(session), session.snapshot.state.history
    do(session, then)
    second = ranking(session)
    if session.snapshot.state.history == state and second == first:
        return  # an open layer can't be opened again: nothing was added
    session.undo()
    assert ranking(session) == first
    assert session.snapshot.state.history == state
    session.redo()
    assert ranking(session) == second


@given(order=st.permutations([("listen", "silent"), ("look_belt", "hangs"), ("speed", "right")]))
@settings(max_examples=6, deadline=None, suppress_health_check=SHARED)
def test_order_of_answers_is_irrelevant(shelf: Shelf, order: list[tuple[str, str]]) -> None:
    """The same answers in any order give the same ranking."""
    session = shelf.take_in("Deck", "tape", Deck(age_years=30), ["no_sound"])
    for check, answer in order:
        session.answer(check, answer)
    one = shelf.take_in("Deck", "tape", Deck(age_years=30), ["no_sound"])
    for check, answer in sorted(order):
        one.answer(check, answer)
    assert ranking(session) == pytest.approx(ranking(one), abs=1e-12)


def test_danger_must_be_read_before_each_step(session: Session) -> None:
    """A danger stays unread until it is acknowledged for that step; care needs nothing."""
    assert [c.id for c in session.step_view("check", "look_belt").unread] == ["mains"]
    assert session.step_view("check", "listen").unread == ()
    session.acknowledge("mains", "look_belt")
    assert session.step_view("check", "look_belt").unread == ()
    assert [c.id for c in session.step_view("check", "look_belt").cautions] == ["mains"]


def test_opening_and_closing_cost_their_minutes(session: Session) -> None:
    """Minutes are those of the book for each thing that was done and holds."""
    assert session.snapshot.minutes == 0
    session.answer("listen", "silent")
    session.open("lid")
    session.answer("look_belt", "hangs")
    session.mend("renew")
    session.close("lid")
    assert session.snapshot.minutes == 1 + 4 + 2 + 20 + 5
    assert session.snapshot.state.open_layers == ()
    session.undo()
    assert session.snapshot.minutes == 1 + 4 + 2 + 20


def test_case_ends_by_its_final_test(session: Session) -> None:
    """After the repair, a passed final test leaves nothing to do."""
    session.answer("listen", "silent")
    session.answer("look_belt", "hangs")
    session.mend("renew")
    session.close("outside")
    assert session.snapshot.next_step is not None
    session.answer("listen", "sound")
    session.measure("speed", 0.1)
    assert session.snapshot.assessment is not None
    assert session.snapshot.assessment.is_well
    assert session.snapshot.next_step is None


def test_rules_raise_what_they_say(session: Session) -> None:
    """A derived fact raises a cause's odds by its factor."""
    calm = ranking(session)["worn_belt"]
    deck = Deck(age_years=45, facts={"strap_hz": 60.0, "local_hz": 50.0})
    at = session.snapshot.state.touched
    session.amend(TakenIn(at=at, name="Deck 1", family="tape", deck=deck))
    assert session.snapshot.assessment is not None
    assert "strap_wrong" in session.snapshot.assessment.conclusions.derived
    assert ranking(session)["worn_belt"] > calm
    assert session.cause("worn_belt").raised == {"strap_wrong": 2.0}


def test_cause_detail_tells_why(session: Session) -> None:
    """For and against come with their decibans, remedies and thumbs with their sources."""
    session.answer("listen", "silent")
    session.answer("look_belt", "firm")
    detail = session.cause("worn_belt")
    signs = {w.says.split("?")[0]: w.decibans for w in detail.weighed}
    assert signs["Is there sound"] > 0 > signs["Does the belt hang"]
    assert [r.id for r in detail.remedies] == ["renew"]
    assert [(t.id, s.standing) for t, s in detail.thumbs] == [("belts_age", "from memory")]
    assert [a.cause.id for a in detail.alike] == ["dry_shaft"]


@pytest.mark.parametrize(
    ("act", "hint"),
    [
        (lambda s: s.answer("listne", "silent"), "listen"),
        (lambda s: s.answer("listen", "slient"), "silent"),
        (lambda s: s.mend("renw"), "renew"),
        (lambda s: s.open("lld"), "lid"),
        (lambda s: s.tell("no_sond"), "no_sound"),
        (lambda s: s.cause("worn"), "no cause that this deck"),
    ],
)
def test_unknown_id_is_told_and_changes_nothing(
    session: Session, act: Callable[[Session], object], hint: str
) -> None:
    """The nearest id is named and no event is written."""
    before = session.events
    with pytest.raises(UnknownId, match=hint):
        act(session)
    assert session.events == before


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_measurement_that_is_no_number_is_refused(session: Session, value: float) -> None:
    """Not a number, or endless, is no measurement."""
    with pytest.raises(CaseError, match="can't be taken"):
        session.measure("speed", value)


def test_old_case_outlives_changes_of_the_book(shelf: Shelf, session: Session) -> None:
    """An answer that the book no longer has is told in words; everything else still counts."""
    only_silent = shelf.take_in("Deck 2", "tape", Deck(age_years=45), ["no_sound"])
    for window in (session, only_silent):
        window.answer("listen", "silent")
    session.answer("look_belt", "hangs")
    path = shelf.knowledge / "tape" / "reels" / "idler.yaml"
    text = path.read_text(encoding="utf-8")
    text = text.replace("{hangs: {present: [belt_slack]}", "{loose: {present: [belt_slack]}")
    path.write_text(text.replace("listen:", "hear:"), encoding="utf-8")
    family = shelf.knowledge / "tape" / "family.yaml"
    family.write_text(FAMILY.replace("[listen", "[hear"), encoding="utf-8")
    (shelf.knowledge / "tape" / "old.yaml").write_text("checks: {listen: {replaced_by: hear}}")
    later = Shelf(shelf.cases.path, shelf.knowledge).reopen(session.case)
    (told,) = later.snapshot.left_out
    assert "no answer 'hangs' any more" in told
    assert later.events == session.events
    assert ranking(later) == pytest.approx(ranking(only_silent), abs=1e-12)


def test_answers_that_cannot_be_together_are_told_and_still_ranked(session: Session) -> None:
    """A sign that comes up though nothing in the book can bring it leaves the bench with advice."""
    session.answer("listen", "sound")
    session.mend("renew")
    session.answer("listen", "silent")
    assert "counts as fairly sure only" in session.snapshot.trouble
    assert session.snapshot.assessment is not None
    session.undo()
    assert session.snapshot.trouble == ""


def test_second_window_is_told_and_loses_nothing(shelf: Shelf, session: Session) -> None:
    """A window that is behind is told so, and its step is not written over the other's."""
    other = shelf.reopen(session.case)
    session.answer("listen", "silent")
    with pytest.raises(CaseError, match="Another window"):
        other.answer("listen", "sound")
    assert len(shelf.reopen(session.case).events) == len(session.events)


def test_struck_event_is_brought_back(session: Session) -> None:
    """An event struck from the middle comes back exactly, and what isn't struck stays as it is."""
    session.answer("listen", "silent")
    session.note("a note")
    whole = ranking(session)
    answered = session.snapshot.state.last - 1
    session.strike(answered)
    assert ranking(session) != whole
    session.bring_back(answered)
    assert ranking(session) == whole
    last = session.snapshot.state.last
    assert session.bring_back(answered).state.last == last


def test_correcting_writes_only_what_changed(session: Session) -> None:
    """The same intake writes nothing; another name amends, and a complaint can go and come."""
    state = session.snapshot.state
    session.correct("Deck 1", Deck(age_years=45), "opened before", ["no_sound"])
    assert session.snapshot.state.last == state.last
    session.correct("Deck 2", Deck(age_years=45), "opened before", [])
    assert session.snapshot.state.name == "Deck 2"
    assert session.snapshot.state.history.symptoms == ()
    session.correct("Deck 2", Deck(age_years=45), "opened before", ["no_sound"])
    assert session.snapshot.state.history.symptoms == ("no_sound",)


def test_reloading_shows_what_another_window_did(shelf: Shelf, session: Session) -> None:
    """After another window has gone on, this one refuses to write until it has read the case."""
    other = shelf.reopen(session.case)
    other.answer("listen", "silent")
    with pytest.raises(CaseError, match="Another window"):
        session.note("late")
    assert session.reload().state.last == other.snapshot.state.last
    session.note("in time")
    assert session.events[-2] == other.events[-1]


def test_shelf_tells_complaints_in_the_words_of_the_book(shelf: Shelf, session: Session) -> None:
    """A complaint is told as the book says it, and a struck one no more."""
    assert shelf.complaints(session.case) == ("No sound",)
    session.strike(2)
    assert shelf.complaints(session.case) == ()
