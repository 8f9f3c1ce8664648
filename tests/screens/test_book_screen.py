"""The book on the screen: browse, search, and follow what refers to what, by keyboard alone."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from conftest import BOOK, Bench, take_in
from textual.events import Key


async def test_kinds_are_gone_through_with_the_arrows(bench: Bench) -> None:
    """From the shelf: complaints first, causes next; before the first comes the last."""
    async with bench() as hand:
        await hand.press("b")
        assert "Complaints 3" in hand.reads
        assert "Eats tape" in hand.sees
        await hand.press("right")
        assert "Take-up idler tyre glazed" in hand.sees
        await hand.press("left", "left")
        assert "Sources 3" in hand.reads


async def test_cause_tells_its_answers_and_what_refers_to_it(bench: Bench) -> None:
    """Its page has the answers that lead to it, its signs, remedies and thumbs."""
    async with bench(size=(140, 45)) as hand:
        await hand.press("b", "right", "slash")
        await hand.write("polishes")
        await hand.press("enter")
        assert hand.sees.startswith(" Take-up idler tyre glazed")
        assert "10 % at 20 years, 40 % at 45 years" in hand.reads
        assert "Only where: drive is belt or idler" in hand.reads
        assert "The idler tyre shines 90 %" in hand.reads
        assert "Answers that lead to it" in hand.reads


async def test_ways_on_are_followed_and_come_back(bench: Bench) -> None:
    """Enter goes from page to page, Esc one back, b out at once."""
    async with bench() as hand:
        await hand.press("b", "right", "slash")
        await hand.write("glazed")
        await hand.press("enter")
        title = hand.sees.splitlines()[0]
        await hand.press("enter")
        assert hand.sees.splitlines()[0] != title
        assert "checks /" in hand.sees.splitlines()[1] + hand.sees.splitlines()[2]
        await hand.press("escape")
        assert hand.sees.splitlines()[0] == title
        await hand.press("enter", "b")
        assert "decks on the bench" in hand.sees


async def test_search_that_finds_nothing_says_so(bench: Bench) -> None:
    """Esc leaves the search, then the book."""
    async with bench() as hand:
        await hand.press("b", "slash")
        await hand.write("zzz")
        assert "0 found" in hand.reads
        await hand.press("escape")
        assert "Complaints 3" in hand.reads
        await hand.press("escape")
        assert "decks on the bench" in hand.sees


async def test_book_opens_from_the_bench_and_from_a_cause(bench: Bench) -> None:
    """The bench goes on as it was."""
    async with bench() as hand:
        await take_in(hand, "1")
        before = hand.sees
        await hand.press("b")
        assert "what the book knows" in hand.sees
        await hand.press("escape")
        assert hand.sees == before
        await hand.press("c", "enter", "b")
        assert "causes / " in hand.sees
        await hand.press("b", "escape")
        assert hand.sees == before


@pytest.mark.parametrize("typed", [("2",), ("down", "enter")])
async def test_book_is_chosen_by_keys_typed_ahead(
    bench: Bench, tmp_path: Path, typed: tuple[str, ...]
) -> None:
    """Names come from the heads alone, as one book can't be read; no key waits for the window."""
    shutil.copytree(BOOK, tmp_path / "books")
    spoilt = tmp_path / "books" / "belt"
    spoilt.mkdir()
    (spoilt / "family.yaml").write_text("family: belt\nsays: Belts alone\nnonsense: 1\n")
    async with bench(book=tmp_path / "books") as hand:
        await hand.press("b")
        assert "1 Belts alone 2 Cassette decks of these tests" in hand.reads
        await hand.press("escape")
        for key in ("b", *typed):
            hand.app.post_message(Key(key, key if len(key) == 1 else None))
        await hand.settle()
        assert "what the book knows" in hand.sees
        assert "Eats tape" in hand.sees
