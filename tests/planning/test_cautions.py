"""What must be read before a step, by whether its layers are open and the deck is powered."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from book_folder import BookFolder

from diag.model.book import Book
from diag.planning.cautions import cautions_before, cautions_within_reach

FAMILY = """\
family: tape
says: Machines of this test
layers:
  outside: {}
  lid: {under: outside, open: 4, close: 5, cautions: [mains]}
  supply: {under: lid, open: 9, close: 9, cautions: [charged]}
"""

PARTS = """\
signs:
  silent: {says: no sound, leak: 0.01}
causes:
  fuse_blown: {says: Fuse blown, prior: 0.2, shows: {silent: 0.9}, mended_by: [set_rail]}
checks:
  listen:
    {ask: Is there sound?, at: outside, minutes: 1, live: true, answers: {silent: {present:
    [silent]}, sound: {}}}
  look:
    {ask: Is the fuse dark?, at: supply, minutes: 1, cautions: [glass], answers: {dark: {present:
    [silent]}, clear: {}}}
  rail:
    {ask: Is the rail there?, at: supply, minutes: 2, live: true, cautions: [glass], answers: {gone:
    {present: [silent]}, there: {}}}
remedies:
  set_rail: {says: Set the rail, minutes: 5, at: supply, cures: 0.9, live: true}
cautions:
  mains: {says: Mains inside, severity: danger, do: Unplug}
  charged: {says: Charged capacitors, severity: danger, do: Discharge}
  glass: {says: Glass may break, severity: care}
  fuse: {says: The fuse is of the wrong size, severity: danger, do: Unplug}
"""


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A supply behind a lid, with looks and steps under power."""
    folder = BookFolder(tmp_path)
    folder.put("family.yaml", FAMILY)
    folder.put("reels/idler.yaml", PARTS)
    return folder.read()


@pytest.mark.parametrize(
    ("open_layers", "read"),
    [
        ((), ("glass", "mains", "charged")),
        (("lid",), ("glass", "charged")),
        (("lid", "supply"), ("glass",)),
    ],
)
def test_look_without_power_asks_only_for_layers_to_open(
    book: Book, open_layers: tuple[str, ...], read: tuple[str, ...]
) -> None:
    """Its own caution first, then those of the layers that are still closed."""
    assert cautions_before(book, book.checks["look"], open_layers, ["fuse"]) == read


@pytest.mark.parametrize("open_layers", [(), ("lid",), ("lid", "supply")])
def test_powered_step_repeats_the_dangers_of_every_layer_on_its_way(
    book: Book, open_layers: tuple[str, ...]
) -> None:
    """However far the deck is open already, for a check and a remedy, and what rules raise last."""
    check, remedy = book.checks["rail"], book.remedies["set_rail"]
    every = ("mains", "charged", "fuse")
    assert cautions_before(book, check, open_layers, ["fuse"]) == ("glass", *every)
    assert cautions_before(book, remedy, open_layers, ["fuse"]) == every


def test_powered_step_on_the_closed_deck_has_no_layer_to_repeat(book: Book) -> None:
    """Nothing is opened on its way; only what the rules raise stands before it."""
    assert cautions_before(book, book.checks["listen"], (), ["fuse"]) == ("fuse",)


def test_powered_step_from_outside_tells_the_dangers_of_what_is_open(book: Book) -> None:
    """With the lid off, mains is within reach even where one listens from outside."""
    listen, rail = book.checks["listen"], book.checks["rail"]
    assert cautions_within_reach(book, listen, ("lid", "supply")) == ("mains", "charged")
    assert cautions_within_reach(book, listen, ()) == ()
    assert cautions_within_reach(book, rail, ("lid", "supply")) == ()


def test_look_without_power_has_nothing_within_reach(book: Book) -> None:
    """An unplugged deck repeats no danger of what is open beside the way."""
    unplugged = replace(book.checks["listen"], live=False)
    assert cautions_within_reach(book, unplugged, ("lid",)) == ()
