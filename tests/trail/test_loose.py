"""What is off a deck, and the words for it."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from small_case import small_shelf

from diag.cases.events import Closed, Event, Opened, Struck, TakenIn
from diag.cases.fold import fold
from diag.cases.taken_apart import PutBack, TakenOff
from diag.model.book import Book
from diag.trail.loose import Loose, reassembly_order, stripped
from diag.trail.loose_words import looks_before_closing, return_words, taken_words, unaccounted
from diag.trail.words import event_words

AT = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
INTAKE = TakenIn("Deck", "tape", at=AT)
SCREWS = TakenOff("lid", "screw", 4, "rear edge", 3, note="two are long", at=AT)
LEVER = TakenOff("lid", "lever", 2, "trigger", at=AT)
WIRE = TakenOff("lid", "wire", place="board 3", colour="red", to="motor", at=AT)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    """The small book, whose one layer is the lid."""
    return small_shelf(tmp_path_factory.mktemp("book")).book("tape")


def loose(*events: Event) -> tuple[Loose, ...]:
    """What these events leave off, under the lid."""
    state = fold([INTAKE, *events])
    returned = state.put_back
    return tuple(
        Loose(number, taken, tuple(event for _, event in returned if event.item == number))
        for number, taken in state.taken_off.items()
    )


def test_what_is_left_is_what_nobody_accounted_for(book: Book) -> None:
    """Back, new and left out all count; a strike takes the account back."""
    events = [
        INTAKE,
        Opened("lid", at=AT),
        SCREWS,
        PutBack(3, 1, at=AT),
        PutBack(3, 1, "new", at=AT),
    ]
    (_, lid) = stripped(book, fold(events))
    assert [(thing.number, thing.left) for thing in lid.things] == [(3, 2)]
    assert (lid.things[0].returned("back"), lid.things[0].returned("new")) == (1, 1)
    (_, lid) = stripped(book, fold([*events, Struck(5, at=AT)]))
    assert lid.things[0].left == 3
    (_, lid) = stripped(book, fold([*events, PutBack(3, 9, "left_out", at=AT)]))
    assert (lid.things[0].left, lid.loose) == (0, ())


def test_layers_stand_as_a_tree_and_go_back_from_within(book: Book) -> None:
    """A layer with something loose is due even when it is closed; one of an older book is kept."""
    gone = TakenOff("cellar", "belt", at=AT)
    events = [INTAKE, Opened("lid", at=AT), LEVER, SCREWS, gone, Closed("lid", at=AT)]
    found = stripped(book, fold(events))
    assert [(layer.id, layer.depth, layer.is_open) for layer in found] == [
        ("outside", 0, False),
        ("lid", 1, False),
        ("cellar", 0, False),
    ]
    assert [layer.id for layer in reassembly_order(found)] == ["lid", "cellar"]
    assert [thing.number for thing in found[1].loose] == [4, 3]


def test_words_of_things() -> None:
    """Number, place, where they lie, note; a wire by its colour and its ends."""
    assert taken_words(SCREWS) == "4 screws, rear edge; tray 3; two are long"
    assert taken_words(LEVER) == "2 levers, trigger; moved, still in the deck"
    assert taken_words(WIRE) == "red wire from board 3 to motor; unsoldered, still in the deck"
    assert return_words(PutBack(2, 3, at=AT), SCREWS) == "Put back: 3 screws, rear edge"
    assert return_words(PutBack(2, 1, "new", "longer", at=AT), SCREWS) == (
        "New in its place: screw, rear edge (longer)"
    )


def test_what_is_still_loose_is_told_tray_by_tray() -> None:
    """The number that is left, not the number that was taken off."""
    more = TakenOff("lid", "spring", 1, tray=3, at=AT)
    shelf = TakenOff("lid", "part", 1, "front panel", lies="shelf", at=AT)
    assert unaccounted(loose(SCREWS, PutBack(2, 2, at=AT), more, LEVER, shelf)) == (
        "Two levers are still moved.",
        "One part (shelf) is unaccounted for.",
        "Two screws and one spring of tray 3 are unaccounted for.",
    )
    assert unaccounted(loose(SCREWS, PutBack(2, 4, at=AT))) == ()


def test_displaced_things_are_looked_at_before_closing() -> None:
    """Also once they are back: the look is what proves it. Screws call for none."""
    told = looks_before_closing(loose(SCREWS, LEVER, WIRE, PutBack(3, 2, at=AT)))
    assert told == (
        "Two levers (trigger): look that each finger is in front of its lever and drives it both "
        "ways.",
        "One wire (red board 3 to motor): look that each is on its own point, with no strand "
        "astray and nothing pinched.",
    )


def test_events_are_told_in_the_trail(book: Book) -> None:
    """A correction names what it corrects; what names nothing known is told by its number."""
    events = [INTAKE, SCREWS, PutBack(2, 4, at=AT), PutBack(1, 1, at=AT)]
    assert event_words(book, events, 2).startswith("Taken off: 4 screws")
    assert event_words(book, events, 3) == "Put back: 4 screws, rear edge"
    assert event_words(book, events, 4) == "Put back: 1 of event 1"
