"""What comes next: intake, walk, planner, repair and final test, with layers in the price."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from book_folder import BookFolder
from situations import situation

from diag.model.book import Book
from diag.model.figures import Name
from diag.model.history import Given, History, Mended, Opened
from diag.model.trait import Deck
from diag.planning.access import access, closing, closing_order
from diag.planning.blocks import rates
from diag.planning.final_test import is_well
from diag.planning.next_step import NextStep
from diag.planning.open_questions import answers, open_checks, open_remedies
from diag.planning.policy import next_steps
from diag.planning.walks import walk_step

BENCH = """\
signs:
  silent: {says: no sound, leak: 0.01}
  belt_slack: {says: the belt hangs, leak: 0.01}
  shaft_dry: {says: the shaft is dry, leak: 0.01}
causes:
  worn_belt:
    {says: Worn belt, prior: 0.2, shows: {silent: 0.9, belt_slack: 0.9}, mended_by: [renew]}
  dry_shaft: {says: Dry shaft, prior: 0.2, shows: {silent: 0.9, shaft_dry: 0.9}, mended_by: [oil]}
checks:
  listen:
    ask: Is there sound?
    at: outside
    minutes: 1
    answers: {silent: {present: [silent]}, sound: {}}
  look_belt:
    ask: Does the belt hang?
    at: lid
    minutes: 2
    answers: {hangs: {present: [belt_slack]}, firm: {}}
  look_shaft:
    ask: Is the shaft dry?
    at: transport
    minutes: 2
    answers: {dry: {present: [shaft_dry]}, wet: {}}
  solenoid_click:
    ask: Does the solenoid click?
    at: outside
    minutes: 1
    where: {control: [solenoid]}
    answers: {dead: {present: [silent]}, clicks: {}}
remedies:
  renew: {says: Renew the belt, minutes: 20, at: lid, cures: 0.95}
  oil: {says: Oil the shaft, minutes: 20, at: transport, cures: 0.95}
"""

FAMILY = """\
family: tape
says: Machines of this test
traits:
  control: {ask: 'Which keys?', one_of: [keys, solenoid]}
layers:
  outside: {}
  lid: {under: outside, open: 4, close: 4}
  transport: {under: lid, open: 35, close: 45}
symptoms:
  no_sound: {says: No sound, signs: [silent], walk: no_sound}
walks:
  no_sound:
    check: listen
    why: It costs nothing.
    then: {silent: {check: look_belt}}
intake: [listen]
final_test: [listen]
"""


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """Two causes of silence: one behind the lid, one deep inside."""
    folder = BookFolder(tmp_path)
    folder.put("family.yaml", FAMILY)
    folder.put("reels/idler.yaml", BENCH)
    return folder.read()


def steps(
    book: Book,
    *done: Given | Mended,
    symptoms: tuple[str, ...] = (),
    open_layers: tuple[str, ...] = (),
    aside: frozenset[str] = frozenset(),
) -> tuple[NextStep, ...]:
    """What comes next after these steps."""
    at = situation(book, *done, symptoms=symptoms, open_layers=open_layers, aside=aside)
    return next_steps(at)


SILENT = Given("listen", "silent")
SOUND = Given("listen", "sound")


def test_way_to_a_layer_counts_each_opening_and_closing_once(book: Book) -> None:
    """A deep layer costs those above it, too; what is open costs nothing more."""
    assert access(book, (), "transport").opens == ("lid", "transport")
    assert access(book, (), "transport").minutes == 4 + 4 + 35 + 45
    assert access(book, ("lid",), "transport").minutes == 35 + 45
    assert access(book, ("lid", "transport"), "transport").minutes == 0
    assert closing(book, ("lid", "transport")) == 4 + 45
    assert closing_order(book, ("lid", "transport")) == ("transport", "lid")


def test_intake_comes_first(book: Book) -> None:
    """Before anything else, every case answers the intake."""
    first = steps(book, symptoms=("no_sound",))[0]
    assert (first.id, first.by) == ("listen", "intake")


def test_walk_leads_while_it_has_a_step(book: Book) -> None:
    """After the intake the walk's branch for the answer is next, though the planner may differ."""
    first = steps(book, SILENT, symptoms=("no_sound",))[0]
    assert (first.id, first.by) == ("look_belt", "walk")


def test_complaint_that_cant_wait_is_walked_before_the_intake(book: Book) -> None:
    """Its walk has to end before anything else is asked; one that can wait comes after."""
    urgent = replace(book.symptoms["no_sound"], before_intake=True)
    asks_twice = replace(book, symptoms={"no_sound": urgent}, intake=("look_shaft",), final_test=())
    first = steps(asks_twice, symptoms=("no_sound",))[0]
    assert (first.id, first.by) == ("listen", "walk")
    then = steps(asks_twice, SILENT, Given("look_belt", "firm"), symptoms=("no_sound",))[0]
    assert then.by == "intake"
    waits = replace(asks_twice, symptoms=book.symptoms)
    assert steps(waits, symptoms=("no_sound",))[0].by == "intake"


def test_cover_on_the_way_does_not_end_a_walk(book: Book) -> None:
    """Though the opening can have upset what was answered: the author leads through it."""
    lid = replace(book.layers["lid"], upsets=dict.fromkeys(book.causes, 0.01))
    upset = replace(book, layers={**book.layers, "lid": lid})
    history = History(("no_sound",), (SILENT, Opened("lid", 2)))
    assert answers(upset, history).standing == {}
    led = walk_step(upset, Deck(), history)
    assert led is not None
    assert led.step.check == "look_belt"


def test_planner_takes_over_where_the_walk_ends(book: Book) -> None:
    """An answer without a branch, or a check put aside, ends the walk."""
    assert steps(book, SILENT)[0].by == "planner"
    aside = steps(book, SILENT, symptoms=("no_sound",), aside=frozenset({"look_belt"}))
    assert aside[0].by == "planner"
    assert all(step.id != "look_belt" for step in aside)


def test_walk_does_not_ask_what_does_not_fit_the_deck(book: Book) -> None:
    """A check for another kind of deck is neither asked nor offered."""
    assert "solenoid_click" not in open_checks(book, Deck(traits={"control": "keys"}), History())
    assert "solenoid_click" in open_checks(book, Deck(), History())


def test_near_cause_is_looked_at_before_the_deep_one(book: Book) -> None:
    """Of two equal causes the one with less to open is looked at first."""
    ids = [step.id for step in steps(book, SILENT) if step.kind == "check"]
    assert ids.index("look_belt") < ids.index("look_shaft")


def test_open_layer_makes_a_look_cheap(book: Book) -> None:
    """The same check at an open layer saves more for its minutes."""
    shut = {s.id: s.saves for s in steps(book, SILENT)}
    opened = {s.id: s.saves for s in steps(book, SILENT, open_layers=("lid", "transport"))}
    assert opened["look_shaft"] > shut["look_shaft"]
    assert opened["look_belt"] > shut["look_belt"]


def test_likely_cause_is_mended(book: Book) -> None:
    """Once a cause is nearly sure, its remedy is next, with its reason in words."""
    first = steps(book, SILENT, Given("look_belt", "hangs"), open_layers=("lid",))[0]
    assert (first.kind, first.id) == ("remedy", "renew")
    assert "Worn belt" in first.why


def test_remedy_puts_the_answers_that_it_touches_in_question(book: Book) -> None:
    """After a repair the signs of its cause are asked again; others stand."""
    history = History((), (SILENT, Given("look_shaft", "wet"), Mended("renew")))
    found = answers(book, history)
    assert set(found.stale) == {"listen"}
    assert set(found.standing) == {"look_shaft"}
    assert "listen" in open_checks(book, Deck(), history)
    assert "renew" not in open_remedies(book, Deck(), history, done={"renew"})


def test_remedy_that_failed_thrice_is_offered_no_more(book: Book) -> None:
    """Each time the deck was looked at and stayed silent."""
    failed = (Mended("renew"), SILENT)
    for times, is_offered in ((1, True), (2, True), (3, False)):
        history = History((), (SILENT, *(step for _ in range(times) for step in failed)))
        offered = open_remedies(book, Deck(), history, done={"renew"})
        assert ("renew" in offered) is is_offered, times


def test_repair_is_verified_by_the_final_test(book: Book) -> None:
    """After the repair the test is offered, and a passed test ends the case."""
    done = (SILENT, Given("look_belt", "hangs"), Mended("renew"))
    assert steps(book, *done)[0].id == "listen"
    assert not is_well(book, Deck(), History((), done))
    assert is_well(book, Deck(), History((), (*done, SOUND)))
    assert steps(book, *done, SOUND) == ()


def test_every_step_has_a_reason(book: Book) -> None:
    """No step comes without a sentence."""
    for step in (*steps(book), *steps(book, SILENT), *steps(book, SILENT, symptoms=("no_sound",))):
        assert step.why.endswith(".")
        assert not step.why[0].islower()


def test_steps_are_the_same_each_time(book: Book) -> None:
    """Equal situations give equal advice."""
    assert steps(book, SILENT) == steps(book, SILENT)


def test_ended_walk_stays_ended_when_nothing_fits(book: Book) -> None:
    """A symptom without a walk leads nowhere, without an error."""
    assert walk_step(book, Deck(), History((), ())) is None
    assert walk_step(book, Deck(), History(("no_sound",), (SOUND,))) is None


def test_walk_is_over_once_a_repair_has_ended_its_complaint(book: Book) -> None:
    """Before any repair an answer that denies the complaint is one to go on from."""
    walk = book.walks["no_sound"]
    goes_on = replace(walk, then={**walk.then, Name("sound"): walk.then[Name("silent")]})
    book = replace(book, walks={"no_sound": goes_on})

    def led(*steps: Given | Mended) -> str | None:
        found = walk_step(book, Deck(), History(("no_sound",), steps))
        return found.step.check if found else None

    assert led(SOUND) == "look_belt"
    assert led(SILENT, Mended("oil"), SILENT) == "look_belt"
    assert led(SILENT, Mended("oil"), SOUND) is None
    assert led(SILENT, Mended("oil"), SOUND, SILENT) == "look_belt"


def test_looks_behind_one_cover_share_its_opening(book: Book) -> None:
    """Several looks that don't pay for the opening one by one are worth it together."""
    nats = {"look_belt": 0.2, "look_shaft": 0.9}
    ways = {layer: access(book, (), layer) for layer in book.layers}
    alone = rates(book, ways, {"look_shaft": 0.9})["look_shaft"]
    both = rates(book, ways, nats)
    assert alone.nats_a_minute == pytest.approx(0.9 / (2 + 88))
    assert both["look_belt"].nats_a_minute == pytest.approx(0.2 / (2 + 8))
    assert both["look_shaft"].nats_a_minute == pytest.approx((0.9 + 0.2) / (2 + 2 + 88))
    assert both["look_shaft"].together == ("look_shaft", "look_belt")


def test_block_leaves_out_what_lowers_its_rate(book: Book) -> None:
    """A look that tells next to nothing is no part of the block, though it is behind the cover."""
    ways = {layer: access(book, (), layer) for layer in book.layers}
    found = rates(book, ways, {"look_belt": 0.001, "look_shaft": 0.9})
    assert found["look_shaft"].together == ("look_shaft",)
