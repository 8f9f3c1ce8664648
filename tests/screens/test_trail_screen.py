"""The trail: every event in words, taken back and brought in again."""

from __future__ import annotations

from conftest import Bench, take_in

from diag.cases.events import Struck


async def test_event_is_struck_and_brought_back(bench: Bench) -> None:
    """The row says in words that it is struck; the second time it holds again."""
    async with bench() as hand:
        await take_in(hand, "1")
        await hand.press("y", "2", "t")
        assert "4 01 Mar 09:03" in hand.reads
        assert "Plug it in and switch it on." in hand.reads
        await hand.press("s")
        assert "x struck: Plug it in" in hand.sees
        await hand.press("s")
        assert "struck" not in hand.sees
        assert [type(e) for e in hand.events][-2:] == [Struck, Struck]
        await hand.press("escape")
        assert "What moves?" in hand.reads


async def test_intake_cannot_be_struck(bench: Bench) -> None:
    """The first event stays, and why is told."""
    async with bench() as hand:
        await take_in(hand)
        await hand.press("t", "s")
        assert "The intake of a deck can't be struck." in hand.reads
