"""The workshop on the screen: find a sum, work it, note it; by keyboard alone."""

from __future__ import annotations

from pathlib import Path
from shutil import copytree

import pytest
from conftest import BOOK, Bench, Hand, take_in

from diag.cases.events import Acknowledged, Measured, Noted, Opened, Remedied, TakenIn
from diag.workshop.catalogue import SUMS
from diag.workshop.jobs import JOBS
from screens.bench import BenchScreen
from screens.work_form import WorkForm
from screens.workshop import found


async def open_sum(hand: Hand, words: str) -> None:
    """From the shelf or the bench to the first sum that holds these words."""
    await hand.press("j", "slash")
    await hand.write(words)
    await hand.press("enter")
    while not isinstance(hand.app.screen, WorkForm):  # a slow machine is still at the search
        await hand.press("enter")
    await hand.pilot.pause()


async def test_result_follows_every_key(bench: Bench) -> None:
    """238.1 mm for a path of 250 mm and 5 %: arithmetic, 250 / 1.05."""
    async with bench() as hand:
        await open_sum(hand, "at rest stretch")
        assert "Still to give: length of the path" in hand.reads
        await hand.write("250")
        assert "238.1 mm length of the belt at rest" in hand.reads
        await hand.press("backspace", "backspace")
        assert "No result: belt_free, path: '2' was read as 2 mm" in hand.reads
        await hand.press("backspace")
        await hand.write("25 cm")
        await hand.press("down")
        await hand.write("10")
        assert "227.3 mm length of the belt at rest" in hand.reads
        assert "Source: from_memory." in hand.reads


async def test_lines_are_gone_through_in_a_ring(bench: Bench) -> None:
    """Enter and Down go on, Up goes back, and after the last comes the first."""
    async with bench() as hand:
        await open_sum(hand, "open two pulleys")
        await hand.write("10")
        await hand.press("enter")
        await hand.write("5")
        await hand.press("down")
        await hand.write("20")
        await hand.press("enter", "up", "up")
        await hand.write("50")  # in place of the 5
        assert "the pulleys overlap" in hand.reads


async def test_caution_stands_first(bench: Bench) -> None:
    """Before the form and whatever comes of it."""
    async with bench() as hand:
        await open_sum(hand, "discharge safe resistor")
        sees = hand.sees
        assert sees.index("CAUTION") < sees.index("marked capacitance")
        assert "Pull the mains plug first." in hand.reads


async def test_belt_is_drawn_in_both_sizes(bench: Bench) -> None:
    """Round its pulleys: with the figures of the example until there are others."""
    for size in ((80, 24), (140, 45)):
        async with bench(size=size) as hand:
            await open_sum(hand, "open two pulleys")
            assert "To scale, with the figures of the example" in hand.reads
            assert any("\u2801" <= sign <= "\u28ff" for sign in hand.sees)
            await hand.press("f3")
            assert "63.87 mm length of the path" in hand.reads
            assert "To scale with" not in hand.reads.replace(",", "")


@pytest.mark.proof
async def test_every_sum_can_be_opened_and_its_example_worked(bench: Bench) -> None:
    """Down the whole list; the last one marked is the last that is declared."""
    async with bench() as hand:
        await hand.press("j")
        for name in SUMS:
            await hand.press("enter", "f3")
            assert "No result" not in hand.reads, name
            assert "Still to give" not in hand.reads, name
            await hand.press("escape", "down")
        await hand.press("enter")
        assert "CSV file" in hand.reads


async def test_result_is_noted_into_the_case(bench: Bench) -> None:
    """From the bench only; what is noted names figures and source."""
    async with bench(size=(140, 45)) as hand:
        await open_sum(hand, "at rest stretch")
        await hand.press("f3", "f4")
        assert "F4" not in hand.sees
        await hand.press("escape", "escape", "escape")
        await take_in(hand, "1")
        await open_sum(hand, "at rest stretch")
        await hand.press("f4")
        assert not any(isinstance(event, Noted) for event in hand.events)
        await hand.press("f3", "f4")
        (noted,) = [event for event in hand.events if isinstance(event, Noted)]
        assert noted.text == (
            "Belt at rest for a wanted stretch. Given: length of the path 250 mm, stretch when "
            "fitted 5 %. Result: length of the belt at rest 238.1 mm, inside diameter when it lies "
            "as a ring 75.79 mm. Source: from_memory."
        )


async def test_result_answers_a_check_once_it_is_marked(bench: Bench) -> None:
    """3000 of 3150 Hz is 4.76 % slow: arithmetic. Esc writes nothing, Enter alone a note."""
    async with bench() as hand:
        await take_in(hand, "1")
        await open_sum(hand, "tone test tape")
        await hand.write("3000")
        assert "F4 asks which of these goes into the case" in hand.reads
        assert "Play a speed tape. What is the speed error? Slow by more than 1.5 %" in hand.reads
        before = len(hand.events)
        await hand.press("f4", "1", "escape")
        assert len(hand.events) == before
        await hand.press("f4", "enter")
        assert [type(event) for event in hand.events[before:]] == [Noted]
        await hand.press("f4")
        await hand.pilot.resize_terminal(140, 45)
        await hand.press("1")
        await hand.pilot.resize_terminal(80, 24)
        assert "[x] Play a speed tape." in hand.reads
        await hand.press("enter")
        note, measured = hand.events[before + 1 :]
        assert isinstance(note, Noted)
        assert note.text.endswith("Its speed is -4.76 % out.")
        assert isinstance(measured, Measured)
        assert (measured.answer, measured.value) == ("slow", -4.762)
        await hand.press("escape", "escape", "escape")
        assert isinstance(hand.app.screen, BenchScreen)


@pytest.fixture
def own_book(tmp_path: Path) -> Path:
    """The small book with a remedy that renews reservoir capacitors, and facts that sums tell."""
    book = tmp_path / "book"
    copytree(BOOK, book)
    deck, family = book / "tape" / "deck.yaml", book / "tape" / "family.yaml"
    told = deck.read_text(encoding="utf-8")
    renewed = "at: lid, cures: 0.99, renews: {places: [reservoir]}"
    deck.write_text(told.replace("at: lid, cures: 0.99", renewed), encoding="utf-8")
    told = family.read_text(encoding="utf-8")
    told = told.replace("deck set?, unit: Hz", "deck set?, unit: Hz, quantity: mains_frequency_set")
    family.write_text(told, encoding="utf-8")
    return book


async def test_recap_is_put_down_as_done_after_its_danger(
    bench: Bench, own_book: Path, tmp_path: Path
) -> None:
    """What it covers is told; nothing is written before the danger was read."""
    board = tmp_path / "board.csv"
    board.write_text("reference;value;voltage;place\nC1-C2;47;25;reservoir\n", encoding="utf-8")
    async with bench(book=own_book) as hand:
        await take_in(hand, "1")
        await open_sum(hand, "capacitors board order")
        await hand.write(str(board))
        await hand.press("enter")
        assert "Done: Set the frequency strap" in hand.reads
        assert "Covers: Supply-frequency strap set for another country" in hand.reads
        before = len(hand.events)
        await hand.press("f4", "1", "enter")
        assert "Mains voltage is open under the lid." in hand.reads
        await hand.press("escape")
        assert len(hand.events) == before
        await hand.press("f4", "1", "enter", "y")
        kinds = [Acknowledged, Noted, Opened, Remedied]
        assert [type(event) for event in hand.events[before:]] == kinds
        done = hand.events[-1]
        assert isinstance(done, Remedied)
        assert (done.remedy, done.note) == ("set_strap", "Renewed: C1 C2")
        assert "Covers:" not in hand.reads


async def test_mains_frequency_becomes_a_fact_of_the_deck(bench: Bench, own_book: Path) -> None:
    """Only what the book calls by the same quantity; the other is told nowhere."""
    async with bench(book=own_book) as hand:
        await take_in(hand, "1")
        await open_sum(hand, "speed error set for another mains")
        await hand.press("f3", "f4", "1", "enter")
        last = hand.events[-1]
        assert isinstance(last, TakenIn)
        assert last.deck.facts == {"strap_hz": 60}


async def test_list_is_worked_and_written(bench: Bench, tmp_path: Path) -> None:
    """A list of belts; the answer first, and a new file with all of them."""
    belts = tmp_path / "belts.csv"
    belts.write_text("name;length\nA;238,1\n=B;230\n", encoding="utf-8")
    async with bench(size=(140, 45)) as hand:
        await open_sum(hand, "belts at hand")
        await hand.write(str(belts))
        assert "Still to give: length of the path" in hand.reads
        await hand.press("enter")
        await hand.write("250")
        assert "Enter does it." in hand.reads
        await hand.press("enter")
        assert "Best: =B, right; 8 % shorter than the path" in hand.reads
        assert "length 230 mm" in hand.reads
        await hand.press("f5", "enter")
        written = (tmp_path / "belt-choice.csv").read_bytes().decode("utf-8-sig")
        assert written.splitlines()[1].startswith("'=B;right;")


async def test_bad_list_is_told_with_its_place(bench: Bench, tmp_path: Path) -> None:
    """And the form stays as it was."""
    belts = tmp_path / "belts.csv"
    belts.write_text("name;length\nA;wide\n", encoding="utf-8")
    async with bench() as hand:
        await open_sum(hand, "belts at hand")
        await hand.write(str(belts))
        await hand.press("down")
        await hand.write("250")
        await hand.press("enter")
        assert "belts.csv, line 2, column 'length'" in hand.reads
        await hand.press("escape")
        assert "belts.csv" in hand.letters
        assert "F5" not in hand.sees


async def test_search_that_finds_nothing_says_so(bench: Bench) -> None:
    """Esc leaves the search, then the workshop."""
    async with bench() as hand:
        await hand.press("j", "slash")
        await hand.write("zzz")
        assert "No sum holds these words" in hand.reads
        await hand.press("enter", "escape")
        assert "Path of a belt round two pulleys" in hand.sees
        await hand.press("escape")
        assert "decks on the bench" in hand.sees


def test_search_looks_at_names_titles_and_figures() -> None:
    """Every word must be held; no word finds all."""
    assert len(found("")) == len(SUMS) + len(JOBS)
    assert {one.name for one in found("BELT choice")} == {"belt_choice"}
    assert "discharge" in {one.name for one in found("resistor safe")}
