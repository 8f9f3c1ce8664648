"""The shelf: what is on it, what comes in and goes out, and what may go wrong."""

from __future__ import annotations

import gc
import shutil
import warnings
from pathlib import Path
from typing import Any

import pytest
from conftest import BOOK, Bench, take_in
from textual.events import Key
from textual.worker import Worker

from screens.bench import BenchScreen
from screens.shelf import PAUSE_S, ShelfScreen


async def test_empty_shelf_says_what_to_press(bench: Bench) -> None:
    """Somebody who sees it for the first time knows how to begin."""
    async with bench() as hand:
        assert "No deck is on the bench yet." in hand.sees
        assert "n take in a deck" in hand.sees


async def test_deck_is_listed_with_its_complaint_and_next_step(bench: Bench) -> None:
    """A row has name, complaint and events; the marked one also what comes next."""
    async with bench() as hand:
        await take_in(hand, "1", "2")
        await hand.press("escape")
        assert "Deck 1" in hand.sees
        assert "Eats tape; Runs slow" in hand.sees
        await hand.pilot.pause(0.5)
        await hand.app.workers.wait_for_complete()
        await hand.settle()
        assert "Next: Plug it in and switch it on." in hand.reads


async def test_search_narrows_the_shelf(bench: Bench) -> None:
    """Only decks whose name or complaint holds the letters stay."""
    async with bench() as hand:
        await hand.press("n", "1", "down", "1", "b", "escape", "n", "b", "escape", "slash")
        await hand.write("eats")
        assert "Deck 1" in hand.sees
        assert "Deck 2" not in hand.sees
        await hand.press("enter", "enter")
        assert isinstance(hand.app.screen, BenchScreen)


async def test_case_file_goes_out_and_comes_in_again(bench: Bench, tmp_path: Path) -> None:
    """An export is imported into another store; a second export takes another name."""
    async with bench() as hand:
        await take_in(hand)
        await hand.press("escape", "e", "enter", "e")
        assert "deck-1-2.case.json" in hand.letters
        await hand.press("escape")
        exported = hand.events
    async with bench(store=tmp_path / "other.sqlite3") as hand:
        await hand.press("i")
        await hand.write("~/deck-1.case.json".replace("~", str(tmp_path)))
        await hand.press("enter")
        assert hand.events == exported


async def test_export_never_overwrites(bench: Bench, tmp_path: Path) -> None:
    """A file that is there is left as it is, and that is told."""
    (tmp_path / "here.json").write_text("mine")
    async with bench() as hand:
        await take_in(hand)
        await hand.press("escape", "e", "ctrl+u")
        await hand.write(str(tmp_path / "here.json"))
        await hand.press("enter")
        assert "There is a file of this name." in hand.reads
    assert (tmp_path / "here.json").read_text() == "mine"


async def test_bad_case_file_gets_one_clear_message(bench: Bench, tmp_path: Path) -> None:
    """What is wrong, where, and what to do; then the shelf is there again."""
    (tmp_path / "bad.json").write_text("{")
    async with bench() as hand:
        await hand.press("i")
        await hand.write(str(tmp_path / "bad.json"))
        await hand.press("enter")
        assert "! That did not work" in hand.sees
        assert "bad.json" in hand.letters
        await hand.press("enter")
        assert isinstance(hand.app.screen, ShelfScreen)


async def test_store_that_cannot_be_read_is_told(bench: Bench, tmp_path: Path) -> None:
    """A file that is no store stays as it is; the app tells so and does not end."""
    junk = tmp_path / "junk.sqlite3"
    junk.write_bytes(b"no database at all, and longer than a header" * 100)
    before = junk.read_bytes()
    async with bench(store=junk) as hand:
        assert "! That did not work" in hand.sees
        assert "junk.sqlite3" in hand.letters
        await hand.press("enter")
        assert "The store can't be read" in hand.sees
    assert junk.read_bytes() == before


async def test_book_that_cannot_be_read_is_told_with_file_and_line(
    bench: Bench, tmp_path: Path
) -> None:
    """Every problem of the book is listed; taking in goes back to the shelf."""
    book = tmp_path / "book"
    shutil.copytree(BOOK, book)
    deck = book / "tape" / "deck.yaml"
    deck.write_text(deck.read_text().replace("prior: 0.12", "prior: 1.3"))
    async with bench(book=book) as hand:
        await hand.press("n")
        assert "The book can't be used: 1 problem(s)" in hand.reads
        assert "deck.yaml:" in hand.letters
        await hand.press("enter")
        assert isinstance(hand.app.screen, ShelfScreen)


async def test_case_that_is_named_is_opened_at_once(bench: Bench) -> None:
    """The command line may name a case; one that isn't there is told."""
    async with bench() as hand:
        await take_in(hand)
        (deck,) = hand.app.engine.shelf().decks()
    async with bench(case=deck.id) as hand:
        assert isinstance(hand.app.screen, BenchScreen)
    async with bench(case="c-zzzzz") as hand:
        assert "There is no such case in this store." in hand.reads


async def test_folder_without_books_is_told(bench: Bench, tmp_path: Path) -> None:
    """Intake says what is missing and how to name another folder."""
    async with bench(book=tmp_path / "nothing") as hand:
        await hand.press("n")
        assert "--knowledge" in hand.reads


async def test_going_back_once_too_often_does_not_end_the_app(bench: Bench) -> None:
    """Esc on the shelf says where one is; q leaves."""
    async with bench() as hand:
        await take_in(hand)
        await hand.press("escape", "escape", "escape")
        assert "This is the shelf. q leaves." in hand.reads
        assert hand.app.is_running
        await hand.press("slash", "escape")
        assert not hand.app.screen.query_one("#search").display
        hand.app.post_message(Key("q", "q"))
        await hand.pilot.pause(0.2)
        assert not hand.app.is_running


async def test_glance_that_ends_before_it_begins_leaves_nothing(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The app may end in the very moment in which the shelf begins to look what comes next."""

    def ended_at_once(*given: Any, **named: Any) -> Worker[Any]:
        worker: Worker[Any] = run_worker(*given, **named)
        if worker.group == "glance":
            worker.cancel()
            ended.append(worker)
        return worker

    ended: list[Worker[Any]] = []
    run_worker = ShelfScreen.run_worker
    async with bench() as hand:
        await take_in(hand)
        monkeypatch.setattr(ShelfScreen, "run_worker", ended_at_once)
        with warnings.catch_warnings(record=True) as told:
            warnings.simplefilter("always")
            await hand.press("escape")
            await hand.pilot.pause(2 * PAUSE_S)
            gc.collect()
    assert ended
    assert told == []
