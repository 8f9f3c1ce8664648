"""Intake by keyboard: one list, unknown always allowed, and amended later."""

from __future__ import annotations

from conftest import Bench, take_in

from diag.cases.events import Struck, SymptomTold, TakenIn
from screens.intake import IntakeScreen


async def test_deck_begins_with_nothing_but_its_proposed_name(bench: Bench) -> None:
    """Everything may stay unknown."""
    async with bench() as hand:
        await hand.press("n", "b")
        (taken,) = hand.events
        assert isinstance(taken, TakenIn)
        assert (taken.name, taken.family) == ("Deck 1", "tape")
        assert (taken.deck.age_years, taken.deck.traits, taken.deck.facts) == (None, {}, {})


async def test_digits_and_zero_fill_the_rows(bench: Bench) -> None:
    """A digit sets a row and goes on; zero opens it again."""
    async with bench() as hand:
        await hand.press("n", *["down"] * 5, "3", "2", "up", "0", "1", *["up"] * 4)
        await hand.press("6", "0", "b")
        (taken,) = hand.events
        assert isinstance(taken, TakenIn)
        assert taken.deck.traits == {"drive": "direct", "repaired_before": "yes"}
        assert taken.deck.facts == {"strap_hz": 60}


async def test_complaints_are_found_by_letters(bench: Bench) -> None:
    """In the whole list letters search and the space bar marks; Enter is done."""
    async with bench() as hand:
        await hand.press("n", "down", "enter", "down", "space", "1", "1", "enter", "b")
        told = [e.symptom for e in hand.events if isinstance(e, SymptomTold)]
        assert told == ["runs_slow"]


async def test_number_that_is_none_is_told(bench: Bench) -> None:
    """Enter and begin both say so; when it is put right the case begins."""
    async with bench() as hand:
        await hand.press("n", "down", "down", "4", "comma", "comma", "enter")
        assert "'4,,' is no number." in hand.reads
        await hand.press("enter", "b")
        assert "'4,,' is no number." in hand.reads
        await hand.press("enter", "backspace", "backspace", "0", "b")
        (taken,) = hand.events
        assert isinstance(taken, TakenIn)
        assert taken.deck.age_years == 40


async def test_number_that_cant_be_is_told(bench: Bench) -> None:
    """Enter and begin both refuse a mains of 11 Hz and an age of 400; what was typed stays."""
    async with bench() as hand:
        await hand.press("n", "down", "down", "4", "0", "0", "enter")
        assert "400 years can't be; 0 to 120 years can." in hand.reads
        await hand.press("enter", "backspace", "down", "1", "1", "b")
        assert "11 Hz can't be; 45 to 65 Hz can." in hand.reads
        await hand.press("enter")
        assert not hand.app.engine.shelf().decks()
        assert "11 Hz" in hand.sees
        await hand.press("backspace", "backspace", "5", "0", "b")
        (taken,) = hand.events
        assert isinstance(taken, TakenIn)
        assert (taken.deck.age_years, taken.deck.facts) == (40, {"local_hz": 50})


async def test_refused_number_is_begun_anew_or_left_open(bench: Bench) -> None:
    """The marker goes to it; the next digit starts again, and zero says unknown."""
    async with bench() as hand:
        await hand.press("n", "down", "down", "down", "3", "5", "down", "b")
        assert "35 Hz can't be; 45 to 65 Hz can." in hand.reads
        await hand.press("enter")
        assert "type it: 45 to 65 Hz" in hand.reads
        await hand.press("6", "0", "up", "down")
        assert "60 Hz" in hand.sees
        await hand.press("3", "up", "b", "enter", "0", "b")
        (taken,) = hand.events
        assert isinstance(taken, TakenIn)
        assert taken.deck.facts == {}


async def test_number_begun_anew_replaces_the_old_one(bench: Bench) -> None:
    """Typing on a row that was left goes on from nothing, and zero opens it."""
    async with bench() as hand:
        await hand.press("n", "down", "down", "4", "5", "down", "up", "3", "0", "down")
        assert "30 years" in hand.sees
        await hand.press("up", "0", "b")
        (taken,) = hand.events
        assert isinstance(taken, TakenIn)
        assert taken.deck.age_years is None


async def test_no_quick_key_is_lost_in_a_number(bench: Bench) -> None:
    """Digits typed without any pause all arrive."""
    async with bench() as hand:
        await hand.press("n", "down", "down")
        await hand.write("42.5")
        await hand.press("b")
        (taken,) = hand.events
        assert isinstance(taken, TakenIn)
        assert taken.deck.age_years == 42.5


async def test_leaving_intake_keeps_nothing(bench: Bench) -> None:
    """Esc goes back to the shelf with no case begun."""
    async with bench() as hand:
        await hand.press("n", "escape")
        assert "No deck is on the bench yet." in hand.sees


async def test_one_key_does_not_drop_what_was_told(bench: Bench) -> None:
    """After an answer Esc asks first; a second Esc stays, and y drops the page."""
    async with bench() as hand:
        await hand.press("n", "down", "1", "escape")
        assert "Drop this page?" in hand.sees
        await hand.press("escape")
        assert isinstance(hand.app.screen, IntakeScreen)
        await hand.press("escape", "y")
        assert "No deck is on the bench yet." in hand.sees


async def test_deck_is_amended_later(bench: Bench) -> None:
    """A changed name amends, a complaint that goes is struck, and the bench shows both."""
    async with bench() as hand:
        await take_in(hand, "1")
        await hand.press("i")
        assert isinstance(hand.app.screen, IntakeScreen)
        assert "45 years" in hand.sees
        await hand.press("enter")
        await hand.write("hall deck")
        await hand.press("enter", "1", "2", "b")
        assert "hall deck" in hand.sees
        assert "Runs slow" in hand.sees
        assert [type(e) for e in hand.events][2:] == [TakenIn, Struck, SymptomTold]
