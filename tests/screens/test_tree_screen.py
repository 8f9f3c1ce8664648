"""The tree of a complaint on the screen, by the keyboard alone."""

from __future__ import annotations

from pathlib import Path

from conftest import Bench, take_in


async def test_tree_of_the_complaint_is_folded_and_read(bench: Bench) -> None:
    """One key from the bench; the marked step is told in full, arrows go in and out, Esc back."""
    async with bench() as hand:
        await take_in(hand, "1")
        await hand.press("w")
        assert hand.sees.splitlines()[0] == " Eats tape"
        assert "45 years old, drive: idler" in hand.reads
        assert "2 min; 0 min so far Why: A hub that stands still" in hand.reads
        unfolded = hand.sees
        await hand.press("enter")
        assert "Only the supply hub" not in hand.sees
        await hand.press("right")
        assert hand.sees == unfolded
        await hand.press("right")
        assert "DANGER mains Look at the idler tyre." in hand.reads
        assert "3 min, and 30 min to open and close: lid, transport" in hand.reads
        await hand.press("left", "left")
        assert "83 %" not in hand.sees
        await hand.press("escape")
        assert "Eats tape" in hand.sees.splitlines()[1]


async def test_cautions_of_the_marked_step_are_read_in_full(bench: Bench) -> None:
    """The sheet names them in short; one key tells what to do about them."""
    async with bench() as hand:
        await take_in(hand, "1")
        await hand.press("w", "down", "k")
        assert "DANGER mains:" in hand.reads
        await hand.press("enter")
        assert "Before this step" not in hand.reads


async def test_end_of_a_path_ranks_its_causes(bench: Bench) -> None:
    """The marked end has its causes with their chances, and all minutes so far."""
    async with bench() as hand:
        await take_in(hand, "1")
        await hand.press("w", "down", "down")
        assert ">99 % Take-up idler tyre glazed" in hand.reads
        assert "35 min so far" in hand.reads


async def test_complaint_is_asked_for_where_none_was_told(bench: Bench) -> None:
    """All complaints of the book can be chosen; Esc keeps the bench."""
    async with bench() as hand:
        await take_in(hand)
        await hand.press("w")
        assert "A tree for which complaint?" in hand.reads
        await hand.press("escape")
        assert "no complaint told" in hand.reads
        await hand.press("w", "2")
        assert "so far" in hand.reads


async def test_tree_is_written_to_a_file(bench: Bench, tmp_path: Path) -> None:
    """It lands in the home folder under the complaint's name."""
    async with bench() as hand:
        await take_in(hand, "1")
        await hand.press("w", "x", "2", "enter")
    (written,) = tmp_path.glob("*.md")
    assert written.name == "eats-tape-tree.md"
    assert written.read_text(encoding="utf-8").startswith("# Eats tape\n")
