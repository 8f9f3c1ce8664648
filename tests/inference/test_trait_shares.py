"""A cause that needs a trait weighs as much as decks with that trait do, until it is known."""

from __future__ import annotations

from dataclasses import replace

import pytest
from oracles import book_of

from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.history import History
from diag.model.trait import Deck, Trait


@pytest.fixture
def book() -> Book:
    """One cause in ten of the decks with a tray, of which there are one in eight."""
    plain = book_of({"belt": {"stuck": 0.9}}, {"belt": 0.1}, {"stuck": 0.01})
    tray = Trait(
        id="loading", ask="How?", one_of=("tray", "door"), shares={"tray": 0.125, "door": 0.875}
    )
    cause = replace(plain.causes["belt"], where={"loading": ("tray",)})
    return replace(plain, traits={"loading": tray}, causes={"belt": cause})


def chance(book: Book, **traits: str) -> float | None:
    """The prior of the cause in a deck with these traits, or None if it can't be."""
    deck = Deck(age_years=0.0, traits=traits)
    return solve(network(book, deck, History())).causes.get("belt")


def test_unknown_trait_weighs_by_its_share(book: Book) -> None:
    """A tenth of an eighth while nobody has looked; the tenth once the tray is known."""
    assert chance(book) == pytest.approx(0.1 * 0.125)
    assert chance(book, loading="tray") == pytest.approx(0.1)
    assert chance(book, loading="door") is None


def test_trait_without_shares_rules_nothing_out(book: Book) -> None:
    """Where the book gives no shares, an unknown trait changes nothing."""
    silent = replace(book.traits["loading"], shares={})
    assert chance(replace(book, traits={"loading": silent})) == pytest.approx(0.1)
