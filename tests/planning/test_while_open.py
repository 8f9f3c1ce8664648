"""What is worth doing while a layer is open, and what to look at before it is closed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from book_folder import BookFolder
from hypothesis import given
from hypothesis import strategies as st

from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.history import Given, History, Mended, Opened, Step
from diag.model.trait import Deck
from diag.planning.before_closing import Before, BeforeClosing, before_closing
from diag.planning.final_test import retest_minutes
from diag.planning.policy import next_steps
from diag.planning.situation import Situation
from diag.planning.while_open import InHere, way_back, worth_while_open

BENCH = """\
signs:
  silent: {says: no sound, leak: 0.01}
  belt_slack: {says: the belt hangs, leak: 0.01}
  lever_free: {says: the lever moves nothing, leak: 0.001}
  plug_loose: {says: a plug is loose, leak: 0.001}
causes:
  worn_belt:
    {says: Worn belt, prior: 0.2, shows: {silent: 0.9, belt_slack: 0.9}, mended_by: [renew, flip]}
  lever_astray:
    {says: Lever astray, prior: 0.01, shows: {silent: 0.6, lever_free: 0.9}, mended_by: [seat]}
  plug_off: {says: Plug not home, prior: 0.01, shows: {plug_loose: 0.9}, mended_by: [push]}
  glue_lost: {says: Glue let go, prior: 0.01, shows: {silent: 0.5}, mended_by: [push]}
checks:
  listen:
    ask: Is there sound?
    at: outside
    minutes: 10
    answers: {silent: {present: [silent]}, sound: {}}
  look_belt:
    ask: Does the belt hang?
    at: transport
    minutes: 2
    answers: {hangs: {present: [belt_slack]}, firm: {}}
  try_lever:
    ask: Does the lever take its partner along?
    at: transport
    minutes: 2
    answers: {alone: {present: [lever_free]}, follows: {}}
  look_plugs:
    ask: Are all plugs home?
    at: lid
    minutes: 1
    answers: {loose: {present: [plug_loose]}, home: {}}
remedies:
  renew: {says: Renew the belt, minutes: 20, at: transport, cures: 0.95}
  flip: {says: Turn the belt inside out, minutes: 20, at: transport, cures: 0.4}
  seat: {says: Seat the lever, minutes: 10, at: transport, cures: 0.95}
  push: {says: Push the plug home, minutes: 1, at: lid, cures: 0.99}
"""

FAMILY = """\
family: tape
says: Machines of this test
layers:
  outside: {}
  lid: {under: outside, open: 4, close: 4, upsets: {plug_off: 0.02}}
  transport: {under: lid, open: 35, close: 45, upsets: {lever_astray: 0.08, glue_lost: 0.03}}
symptoms:
  no_sound: {says: No sound, signs: [silent]}
final_test: [listen]
"""

OPEN = (Opened("lid"), Opened("transport"))
SILENT = Given("listen", "silent")


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    """A deep layer that puts a lever astray, below a lid that may leave a plug off."""
    return read(tmp_path_factory.mktemp("book"))


def read(root: Path) -> Book:
    """The book of this test."""
    folder = BookFolder(root)
    folder.put("family.yaml", FAMILY)
    folder.put("reels/idler.yaml", BENCH)
    return folder.read()


def situation(book: Book, *steps: Step, open_layers: tuple[str, ...] | None = None) -> Situation:
    """The deck after these steps, with what was opened still open unless told otherwise."""
    deck, history = Deck(), History((), steps)
    opened = tuple(dict.fromkeys(step.layer for step in steps if isinstance(step, Opened)))
    net = network(book, deck, history)
    done = frozenset(step.remedy for step in steps if isinstance(step, Mended))
    layers = opened if open_layers is None else open_layers
    return Situation(book, deck, history, net, solve(net), layers, done=done)


def in_here(at: Situation) -> dict[str, InHere]:
    """What is worth doing, by id."""
    return {step.id: step for step in worth_while_open(at)}


def closing(at: Situation, layer: str) -> BeforeClosing:
    """What closing a layer calls for."""
    return before_closing(at, layer, worth_while_open(at))


def first(at: Situation, layer: str) -> dict[str, Before]:
    """The same, what comes first by id."""
    return {step.id: step for step in closing(at, layer).first}


def test_closed_deck_has_nothing_in_here(book: Book) -> None:
    """Without an open layer there is nothing to save an opening on, likely as a cause may be."""
    assert worth_while_open(situation(book, SILENT)) == ()


def test_look_at_an_open_layer_is_worth_it_though_it_was_not_worth_the_opening(book: Book) -> None:
    """Behind a closed cover the look costs more than it saves; once the cover is off it pays."""
    shut = {step.id: step for step in next_steps(situation(book))}
    assert not shut["look_belt"].is_worth_it
    look = in_here(situation(book, *OPEN))["look_belt"]
    assert look.saving > look.minutes
    assert look.later == 2 + 4 + 4 + 35 + 45


def test_saving_of_a_look_is_capped_by_coming_back_for_it(book: Book) -> None:
    """Nobody loses more by leaving a look than it costs to come back: its minutes and the way."""
    at = situation(book, *OPEN, SILENT)
    cheap = replace(
        book,
        layers={
            name: replace(layer, open_minutes=0.5, close_minutes=0.5) if layer.under else layer
            for name, layer in book.layers.items()
        },
    )
    dear, near = in_here(at)["look_belt"], in_here(replace(at, book=cheap))["look_belt"]
    assert near.saving == near.later == pytest.approx(2 + 2 * 1)
    assert near.saving < dear.saving < dear.later


def test_saving_of_a_remedy_is_the_chance_of_coming_back_times_its_cost(book: Book) -> None:
    """Chance of need times cure times (way back, work, final test again), from the docstring."""
    at = situation(book, *OPEN, SILENT)
    assert way_back(at, "transport") == 4 + 4 + 35 + 45
    assert retest_minutes(at) == 10
    step = in_here(at)["renew"]
    assert step.saving == pytest.approx(at.now.causes["worn_belt"] * 0.95 * (88 + 20 + 10))
    assert "Worn belt" in step.why


def test_of_two_remedies_for_one_cause_the_better_is_offered(book: Book) -> None:
    """Renewing the belt leaves nothing for turning it inside out."""
    found = in_here(situation(book, *OPEN, SILENT))
    assert "renew" in found
    assert "flip" not in found


@given(nearer=st.floats(1, 60), further=st.floats(0, 60))
def test_saving_grows_with_the_way_back(book: Book, nearer: float, further: float) -> None:
    """The dearer the opening, the more is saved by not having to come back; never the less."""
    at = situation(book, *OPEN, SILENT)
    found = []
    for minutes in (nearer, nearer + further):
        layer = replace(book.layers["transport"], open_minutes=minutes)
        deep = replace(book, layers={**book.layers, "transport": layer})
        found.append(in_here(replace(at, book=deep)))
    for name, step in found[0].items():
        assert found[1][name].saving >= step.saving - 1e-9


def test_likelier_cause_saves_more_by_its_remedy(book: Book) -> None:
    """A slack belt that was seen makes renewing it worth more."""
    before = in_here(situation(book, *OPEN, SILENT))["renew"]
    after = in_here(situation(book, *OPEN, SILENT, Given("look_belt", "hangs")))["renew"]
    assert after.saving > before.saving


def test_most_saved_for_a_minute_comes_first(book: Book) -> None:
    """The order is that of minutes saved for each minute of work."""
    rates = [step.saves for step in worth_while_open(situation(book, *OPEN, SILENT))]
    assert len(rates) > 2
    assert rates == sorted(rates, reverse=True)


def test_cause_made_likelier_by_an_opened_layer_is_asked_about_before_it_is_closed(
    book: Book,
) -> None:
    """The lever that parting may put astray is the first look, with its chance and its remedy."""
    at = situation(book, SILENT, *OPEN)
    assert at.now.causes["lever_astray"] > situation(book, SILENT).now.causes["lever_astray"]
    look = closing(at, "transport").first[0]
    assert (look.because, look.id, look.remedies) == ("upset", "try_lever", ("seat",))
    assert look.causes == (("lever_astray", at.now.causes["lever_astray"]),)
    assert look.is_worth_it
    assert "'Lever astray'" in look.why


def test_look_that_was_had_since_the_opening_is_not_asked_again(book: Book) -> None:
    """Once the lever has been tried, closing asks no more for it; a new opening asks again."""
    tried = (*OPEN, Given("try_lever", "follows"))
    assert "try_lever" not in first(situation(book, *tried), "transport")
    assert "try_lever" in first(situation(book, *tried, Opened("transport")), "transport")


def test_look_before_the_opening_does_not_count(book: Book) -> None:
    """The plugs were home when the lid came off the first time; that says nothing of the second."""
    again = (Opened("lid"), Given("look_plugs", "home"), Opened("lid"))
    assert first(situation(book, *again), "lid")["look_plugs"].because == "upset"


def test_what_a_deeper_opening_left_is_asked_when_all_is_closed(book: Book) -> None:
    """Closing the lid with everything below it asks for the lever and for the plugs."""
    found = first(situation(book, *OPEN), "lid")
    assert {found[name].because for name in ("try_lever", "look_plugs")} == {"upset"}
    everything = closing(situation(book, *OPEN), "outside")
    assert everything == closing(situation(book, *OPEN), "lid")


def test_what_the_layer_above_still_shows_and_mends_can_wait(book: Book) -> None:
    """Closing the mechanism does not ask for the plugs under the lid that stays open."""
    assert "look_plugs" not in first(situation(book, *OPEN), "transport")


def test_cause_that_no_look_shows_is_named(book: Book) -> None:
    """Glue that lets go can't be seen inside; it is left to the final test, by name."""
    at = situation(book, *OPEN)
    assert closing(at, "transport").unseen == (("glue_lost", at.now.causes["glue_lost"]),)


def test_remedy_that_nothing_has_shown_to_have_worked_is_verified_first(book: Book) -> None:
    """A belt renewed is looked at before the mechanism goes in; a look since then is enough."""
    done = (SILENT, *OPEN, Given("look_belt", "hangs"), Mended("renew"))
    look = first(situation(book, *done), "transport")["look_belt"]
    assert look.because == "mended"
    assert "'Renew the belt' took" in look.why
    verified = situation(book, *done, Given("look_belt", "firm"))
    assert first(verified, "transport").get("look_belt") is None


def test_what_would_be_dear_to_come_back_for_is_listed_too(book: Book) -> None:
    """Steps worth doing at the closing layers stand behind the looks; others don't."""
    found = first(situation(book, *OPEN, SILENT), "transport")
    assert found["renew"].because == "dear"
    at = situation(book, *OPEN, SILENT)
    shallow = closing(replace(at, open_layers=("lid",)), "lid").first
    assert all(step.id != "renew" for step in shallow)


def test_order_puts_what_is_worth_its_minutes_first(book: Book) -> None:
    """What the opening may have left leads if it is worth a look; then what is dear to redo."""
    found = closing(situation(book, *OPEN, SILENT), "outside").first
    places = [(not step.is_worth_it, step.because == "dear") for step in found]
    assert places == sorted(places)
    assert all(step.why.endswith(".") for step in found)
