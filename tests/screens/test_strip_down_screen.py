"""Taking a deck apart and putting it together again, by keyboard."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import Bench, Hand, take_in

from diag.cases.events import Closed, Opened, Struck
from diag.cases.taken_apart import PutBack, TakenOff
from screens.bench import BenchScreen
from screens.reassembly import ReassemblyScreen
from screens.strip_down import StripDownScreen


async def open_lid(hand: Hand) -> None:
    """Go to strip-down, and open the lid there."""
    await take_in(hand)
    await hand.press("z", "down", "o", "y")


@pytest.mark.parametrize("size", [(80, 24), (140, 45)])
async def test_screws_are_logged_in_three_keys(bench: Bench, size: tuple[int, int]) -> None:
    """A digit, how many, Enter; a lever stays in the deck."""
    async with bench(size) as hand:
        await open_lid(hand)
        assert isinstance(hand.events[-1], Opened)
        assert "Opening so far 4 min, closing takes 4 min" in hand.reads
        await hand.press("1", "4", "enter")
        last = hand.events[-1]
        assert isinstance(last, TakenOff)
        assert (last.layer, last.what, last.count, last.tray) == ("lid", "screw", 4, 1)
        await hand.press("7")
        await hand.write("2 trigger")
        await hand.press("enter")
        last = hand.events[-1]
        assert isinstance(last, TakenOff)
        assert (last.what, last.place, last.stays_inside) == ("lever", "trigger", True)
        assert "6 off, 6 loose" in hand.reads


@pytest.mark.parametrize("size", [(80, 24), (140, 45)])
async def test_things_go_back_and_the_layer_is_closed(bench: Bench, size: tuple[int, int]) -> None:
    """Enter for all of a line, a digit for some; closing says what is left and refuses nothing."""
    async with bench(size) as hand:
        await open_lid(hand)
        await hand.press("1", "4", "enter", "7", "2", "enter", "b")
        assert isinstance(hand.app.screen, ReassemblyScreen)
        assert "Lid: open, 6 still loose" in hand.reads
        assert "Four screws of tray 1 are unaccounted for." in hand.reads
        await hand.press("enter")
        assert "[x] 4" in hand.reads
        await hand.press("2")
        back = hand.events[-1]
        assert isinstance(back, PutBack)
        assert back.count == 2
        assert "Two screws of tray 1 are unaccounted for." in hand.reads
        assert "look that each finger is in front of its lever" in hand.reads
        await hand.press("o")
        assert "Two screws of tray 1 are unaccounted for." in hand.reads
        await hand.press("y")
        assert isinstance(hand.events[-1], Closed)
        assert "Lid: closed, 2 still loose" in hand.reads
        await hand.press("enter")
        assert "nothing that was told to be off is unaccounted for" in hand.reads


async def test_tray_correction_photo_and_undo(bench: Bench) -> None:
    """The next tray is one key; a correction keeps its label; undo brings the first words back."""
    async with bench() as hand:
        await open_lid(hand)
        await hand.press("4", "1", "enter", "plus", "1")
        await hand.write("2 rear, long")
        await hand.press("enter")
        last = hand.events[-1]
        assert isinstance(last, TakenOff)
        assert (last.tray, last.note) == (2, "long")
        number = len(hand.events)
        await hand.press("e", "1")
        await hand.press("enter")
        last = hand.events[-1]
        assert isinstance(last, TakenOff)
        assert (last.corrects, last.place, last.tray) == (number, "rear", 2)
        await hand.press("p", "1")
        await hand.write("rear.jpg")
        await hand.press("enter")
        assert "photo rear.jpg" in hand.reads
        await hand.press("u")
        assert isinstance(hand.events[-1], Struck)
        assert "photo" not in hand.reads.partition("Came off")[0]


async def test_wire_is_told_by_colour_and_ends(bench: Bench) -> None:
    """Before it is unsoldered; it stays in the deck."""
    async with bench() as hand:
        await open_lid(hand)
        await hand.press("5")
        assert "Colour, from where, to where" in hand.reads
        await hand.write("red, board 3, motor")
        await hand.press("enter")
        last = hand.events[-1]
        assert isinstance(last, TakenOff)
        assert (last.colour, last.place, last.to, last.tray) == ("red", "board 3", "motor", 0)


async def test_step_before_closing_leads_to_the_bench(bench: Bench) -> None:
    """What the opening may have upset is looked at first: the bench shows that step."""
    async with bench() as hand:
        await take_in(hand)
        await hand.press("z", "down", "down", "o", "y", "b", "o")
        assert "Before you close" in hand.reads
        assert "1 Move the trigger lever from end to end." in hand.reads
        await hand.press("1")
        assert isinstance(hand.app.screen, BenchScreen)
        assert not any(isinstance(event, Closed) for event in hand.events)


async def test_labels_are_written_once(bench: Bench, tmp_path: Path) -> None:
    """One page in the home folder, and never over a file."""
    async with bench() as hand:
        await open_lid(hand)
        await hand.press("1", "4", "enter", "x", "enter")
        (page,) = tmp_path.glob("*labels*.html")
        assert "4 screws" in page.read_text(encoding="utf-8")
        assert isinstance(hand.app.screen, StripDownScreen)
