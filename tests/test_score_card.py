"""The score card of worked cases: its figures, and what the shipped books reach."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from diag.reading.book import read_book
from diag.reading.location import shipped
from diag.rules.rulebook import Rulebook
from diag.session.score_card import Scored, as_drawn, score_card, scored
from diag.session.worked_cases import WorkedCase, read_case, worked_cases

FOLDER = Path(__file__).parent / "worked_cases"


def case_with(*places: int, minutes: float | None = None) -> Scored:
    """A case whose true causes have these places."""
    truth = tuple(f"c{number}" for number in range(len(places)))
    case = WorkedCase(path=Path("x"), family="f", truth=truth, says="", standing="")
    return Scored(case=case, places=dict(zip(truth, places, strict=True)), minutes=minutes)


def test_shares_are_of_cases_and_allow_for_the_other_true_causes() -> None:
    """Worked out by hand: places 1; 3; 2 and 1 (as good as first); 7 and 2 (as sixth)."""
    card = score_card([case_with(1), case_with(3), case_with(2, 1), case_with(7, 2)], led=False)
    assert (card.first, card.first_three, card.first_five) == (0.5, 0.75, 0.75)
    assert card.mean_place == pytest.approx((1 + 3 + 2 + 1 + 7 + 2) / 6)
    assert (card.several, card.several_in_five) == (2, 0.75)
    assert (card.led, card.found_share, card.median_minutes) == (0, None, None)


def test_led_benches_count_those_that_never_got_there() -> None:
    """The median is of those that did."""
    card = score_card([case_with(1, minutes=m) for m in (10.0, 30.0, None)], led=True)
    assert (card.led, card.found_share, card.median_minutes) == (3, pytest.approx(2 / 3), 20.0)


def test_deck_of_a_case_answers_as_it_was_observed() -> None:
    """Every certain answer before the first repair is the answer of the drawn deck, too."""
    book = read_book(shipped(), "cassette")
    rulebook = Rulebook(book)
    tried = 0
    for case in worked_cases(FOLDER):
        if case.family != book.family:
            continue
        drawn = as_drawn(case, read_case(case, book), book, rulebook)
        for sign, is_there in drawn.observed.items():
            assert drawn.has(book, sign) is is_there, (case.path.stem, sign)
            tried += 1
    assert tried > 100


@pytest.mark.proof
def test_books_reach_their_goals_on_worked_cases(capsys: pytest.CaptureFixture[str]) -> None:
    """True cause in the first three in 85 %, in the first five in 95 % of cases.

    The cases are those that the books are tested by, so that this says how well they hold what
    they were taught, not how they would do on decks that nobody has seen.
    """
    found, books = [], {}
    for case in worked_cases(FOLDER):
        if case.family not in books:
            book = read_book(shipped(), case.family)
            books[case.family] = (book, Rulebook(book))
        found.append(scored(case, *books[case.family], led=True))
    card = score_card(found, led=True)
    with capsys.disabled():
        sys.stdout.write(f"\n{card}\n")
    assert card.first_three >= 0.85
    assert card.first_five >= 0.95
