from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta, timezone

import pytest
from case_strategies import AT

from diag.cases.events import Answered, Event, Measured, Noted, Struck, TakenIn
from diag.errors import CaseError
from diag.model.trait import Deck


@pytest.mark.parametrize(
    ("make", "found"),
    [
        (lambda: TakenIn("bell\a", "cassette", at=AT), "U+0007"),
        (lambda: TakenIn("\x1b[31mred", "cassette", at=AT), "U+001B"),
        (lambda: TakenIn("kced \u202e deck", "cassette", at=AT), "U+202E"),
        (lambda: TakenIn("half \ud800", "cassette", at=AT), "U+D800"),
        (lambda: TakenIn("two\nlines", "cassette", at=AT), "U+000A"),
        (lambda: TakenIn("  ", "cassette", at=AT), "empty"),
        (lambda: TakenIn("x" * 201, "cassette", at=AT), "201 characters"),
        (lambda: Noted("x" * 20_001, at=AT), "20001 characters"),
        (lambda: TakenIn("a", "b", Deck(age_years=-1.0), at=AT), "below zero"),
        (lambda: TakenIn("a", "b", Deck(age_years=float("nan")), at=AT), "finite"),
        (lambda: TakenIn("a", "b", Deck(facts={"hz": float("inf")}), at=AT), "finite"),
        (lambda: TakenIn("a", "b", Deck(traits={"drive": "\0"}), at=AT), "U+0000"),
        (lambda: Measured("speed", float("nan"), "%", "slow", at=AT), "finite"),
        (lambda: Measured("speed", 10**400, "%", "slow", at=AT), "finite"),
        (lambda: Answered("hubs", "", "certain", at=AT), "empty"),
        (lambda: Answered("hubs", "both", "skipped", at=AT), "marked skipped"),
        (lambda: Struck(1, at=AT), "intake"),
        (lambda: Struck(0, at=AT), "numbered"),
        (lambda: Noted("a", at=datetime(2026, 1, 1)), "UTC"),
        (lambda: Noted("a", at=AT.astimezone(timezone(timedelta(hours=1)))), "UTC"),
    ],
)
def test_event_refuses_what_it_cannot_keep(make: Callable[[], Event], found: str) -> None:
    """An event that could not be stored, shown or carried on says what is wrong with it."""
    with pytest.raises(CaseError) as caught:
        make()
    assert found in caught.value.found
    assert caught.value.do
    assert str(caught.value).isprintable()


def test_text_keeps_breaks_and_all_letters() -> None:
    """Stories and notes have lines, tabs and letters of every script."""
    text = "Zwei Zeilen\n\tπ ≈ 3, 日本, שלום, 🎛"
    assert Noted(text, at=AT).text == text
