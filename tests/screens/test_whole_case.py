"""A whole case by keyboard alone, in the smallest and in a large terminal."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import Bench, Hand

from diag.cases.events import (
    Acknowledged,
    Answered,
    Closed,
    Noted,
    Opened,
    Remedied,
    SymptomTold,
    TakenIn,
)

SIZES = [pytest.param((80, 24), id="80x24"), pytest.param((140, 45), id="140x45")]
KINDS = [
    TakenIn,
    SymptomTold,
    *(Acknowledged, Answered, Answered, Answered),
    *(Acknowledged, Opened, Opened, Answered, Remedied),
    *(Answered, Closed, Closed, Answered, Noted),
]


@pytest.mark.parametrize("size", SIZES)
async def test_case_goes_from_intake_to_an_exported_trail(
    bench: Bench, size: tuple[int, int], tmp_path: Path
) -> None:
    """Intake, walk, planner, opening, remedy, closing, final test and export need only keys."""
    async with bench(size) as hand:
        await take_in_by_name(hand)
        await look_for_the_fault(hand)
        await mend_and_prove(hand)
        await hand.press("n")
        await hand.write("goes home")
        await hand.press("enter", "x", "1", "enter")
        assert [type(event) for event in hand.events] == KINDS
        await hand.press("escape")
        assert "two-motor deck" in hand.sees
    trail = (tmp_path / "two-motor-deck.md").read_text()
    assert "30 mm inside" in trail
    assert "goes home" in trail


async def take_in_by_name(hand: Hand) -> None:
    """An idler deck of 45 years that eats tape."""
    await hand.press("n", "enter")
    await hand.write("two-motor deck")
    await hand.press("enter", "1", "down", "4", "5", "enter", "down", "down", "2", "b")
    taken = hand.events[0]
    assert isinstance(taken, TakenIn)
    assert taken.name == "two-motor deck"
    assert (taken.deck.age_years, taken.deck.traits) == (45, {"drive": "idler"})


async def look_for_the_fault(hand: Hand) -> None:
    """Intake, walk, and the opening that its second step needs."""
    assert "DANGER" in hand.sees
    await hand.press("y", "2")
    assert "What moves?" in hand.reads
    await hand.press("3")
    assert "Walk: A hub that stands still" in hand.reads
    await hand.press("1", "y", "1")
    assert "Open now?" in hand.sees
    await hand.press("enter")
    assert "open: lid, transport" in hand.sees


async def mend_and_prove(hand: Hand) -> None:
    """The remedy with a note, whether it took, the closing, and the final test."""
    assert "Mend: Fit a new idler tyre" in hand.reads
    await hand.press("1")
    await hand.write("30 mm inside")
    await hand.press("enter")
    assert "Which hubs turn?" in hand.reads
    await hand.press("2")
    assert "Final test:" in hand.reads
    await hand.press("4")
    assert "Every connector is home." in hand.reads
    await hand.press("y")
    assert "The final test has passed." in hand.sees


async def test_case_goes_on_after_the_window_was_closed(bench: Bench) -> None:
    """What one window answered the next one shows, at the same question."""
    async with bench() as hand:
        await hand.press("n", "b", "y", "2")
        asked = hand.sees
    async with bench() as hand:
        await hand.press("enter")
        assert hand.sees == asked
