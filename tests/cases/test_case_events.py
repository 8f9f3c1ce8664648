from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta, timezone

import pytest
from case_strategies import AT

from diag.cases.captured import Reading
from diag.cases.events import Answered, Captured, Measured, Noted, Struck, TakenIn
from diag.cases.held_against import HeldAgainst, KeptLimit
from diag.errors import CaseError
from diag.model.found import Curve, Figure
from diag.model.trait import Deck

READING = Reading(check="speed", value=1.0, unit="%", answer="right")


def curve(*x: float, is_log: bool = False) -> Curve:
    """A curve through these x."""
    return Curve(name="line", says="A line", x=x, y=x, x_unit="Hz", y_unit="dB", is_log=is_log)


def figure(says: str = "A", uncertainty: float = 0.1) -> Figure:
    """A figure of one."""
    return Figure(key="a", says=says, value=1.0, uncertainty=uncertainty)


def found(what: Figure | Curve) -> Captured:
    """A recording of which nothing else is kept."""
    if isinstance(what, Curve):
        return Captured("speed", "a.wav", (), (what,), at=AT)
    return Captured("speed", "a.wav", (what,), at=AT)


def limit(**bounds: float) -> KeptLimit:
    """A limit on something."""
    return KeptLimit(key="a", says="A", unit="%", in_words="some", **bounds)


@pytest.mark.parametrize(
    ("make", "told"),
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
        (lambda: Captured("speed", "a\x1bb.wav", (), at=AT), "U+001B"),
        (lambda: Captured("speed", "a.wav", (), readings=(READING,) * 2, at=AT), "answered twice"),
        (lambda: Captured("speed", "a.wav", (), remarks=("a",) * 101, at=AT), "101 remarks"),
        (lambda: found(figure(uncertainty=float("inf"))), "finite"),
        (lambda: found(figure(uncertainty=-1.0)), "below zero"),
        (lambda: found(figure(says="two\nlines")), "U+000A"),
        (lambda: found(curve()), "0 x and 0 y"),
        (lambda: found(curve(*range(501))), "501 x"),
        (lambda: found(curve(0.0, 1.0, is_log=True)), "logarithmic axis"),
        (lambda: found(curve(float("nan"))), "finite"),
        (lambda: limit(), "no bound"),
        (lambda: limit(lowest=2.0, highest=1.0), "above the highest"),
        (lambda: limit(highest=float("inf")), "finite"),
        (lambda: HeldAgainst("s", "S", "x", (), at=AT), "no limit"),
        (lambda: HeldAgainst("s", "S", "x", (limit(lowest=1.0),) * 2, at=AT), "two on one figure"),
        (lambda: Struck(1, at=AT), "intake"),
        (lambda: Struck(0, at=AT), "numbered"),
        (lambda: Noted("a", at=datetime(2026, 1, 1)), "UTC"),
        (lambda: Noted("a", at=AT.astimezone(timezone(timedelta(hours=1)))), "UTC"),
    ],
)
def test_event_refuses_what_it_cannot_keep(make: Callable[[], object], told: str) -> None:
    """An event that could not be stored, shown or carried on says what is wrong with it."""
    with pytest.raises(CaseError) as caught:
        make()
    assert told in caught.value.found
    assert caught.value.do
    assert str(caught.value).isprintable()


def test_text_keeps_breaks_and_all_letters() -> None:
    """Stories and notes have lines, tabs and letters of every script."""
    text = "Zwei Zeilen\n\tπ ≈ 3, 日本, שלום, 🎛"
    assert Noted(text, at=AT).text == text
