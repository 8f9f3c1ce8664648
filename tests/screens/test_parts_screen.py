"""The parts of a deck, by keyboard."""

from __future__ import annotations

from pathlib import Path

from conftest import Bench, Hand, take_in

from diag.cases.part_kept import PartKept


def last_part(hand: Hand) -> PartKept:
    """What was written last."""
    last = hand.events[-1]
    assert isinstance(last, PartKept)
    return last


async def add_own(hand: Hand, name: str) -> None:
    """Add a part by its name."""
    await hand.press("a", "1")
    await hand.write(name)
    await hand.press("enter")


async def test_part_goes_from_wanted_to_fitted(bench: Bench) -> None:
    """One digit each; price, number and note are kept along."""
    async with bench() as hand:
        await take_in(hand)
        await hand.press("q")
        assert "No part is on the list." in hand.reads
        await add_own(hand, "belt [b]")
        assert (last_part(hand).part, last_part(hand).state) == ("belt [b]", "wanted")
        await hand.press("p")
        assert "belt [b]" in hand.reads
        await hand.write("4,50")
        await hand.press("enter", "c", "2", "enter", "2")
        kept = last_part(hand)
        assert (kept.state, kept.price, kept.count) == ("ordered", 4.5, 2)
        assert "9.00 in all so far" in hand.reads
        await hand.press("n")
        await hand.write("70 mm")
        await hand.press("enter", "4")
        kept = last_part(hand)
        assert (kept.state, kept.note, kept.price) == ("fitted", "70 mm", 4.5)
        await hand.press("u")
        assert "ordered" in hand.reads


async def test_wrong_number_is_told_and_writes_nothing(bench: Bench) -> None:
    """Half a part, and a price that is none."""
    async with bench() as hand:
        await take_in(hand)
        await hand.press("q")
        await add_own(hand, "belt")
        before = len(hand.events)
        await hand.press("c")
        await hand.write("1.5")
        await hand.press("enter")
        assert "no whole number" in hand.reads
        await hand.press("enter", "p")
        await hand.write("cheap")
        await hand.press("enter")
        assert "is no number" in hand.reads
        await hand.press("enter")
        assert len(hand.events) == before


async def test_order_list_of_the_shelf_changes_the_case(bench: Bench, tmp_path: Path) -> None:
    """What has arrived and is fitted leaves the list; the file is for a spreadsheet."""
    async with bench() as hand:
        await take_in(hand)
        await hand.press("q")
        await add_own(hand, "belt")
        await hand.press("escape", "escape", "o")
        assert "Order list: 1" in hand.reads
        await hand.press("3")
        assert last_part(hand).state == "arrived"
        await hand.press("x", "enter")
        assert "belt,,arrived,1" in (tmp_path / "order-list.csv").read_text(encoding="utf-8-sig")
        await hand.press("4")
        assert "No deck on the shelf wants a part." in hand.reads
