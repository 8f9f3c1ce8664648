"""The books against benches: what was observed goes in, what was wrong must come out near the top.

How a folder of worked cases is laid out stands in `diag.session.worked_cases`.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.history import Given, History
from diag.model.trait import Deck, fits
from diag.planning.final_test import is_well
from diag.reading.book import read_book
from diag.reading.location import families, shipped
from diag.rules.rulebook import Rulebook
from diag.session.worked_cases import LIST, WorkedCase, places, ranking, worked_cases

FOLDER = Path(__file__).parent / "worked_cases"
FIRST = 3
"""Causes among which the true one must be; with several true ones, as many more."""


@cache
def shipped_book(family: str) -> tuple[Book, Rulebook]:
    """A shipped book, read once."""
    book = read_book(shipped(), family)
    return book, Rulebook(book)


CASES = worked_cases(FOLDER)


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.family}-{case.path.stem}")
def test_true_cause_comes_out_near_the_top(case: WorkedCase) -> None:
    """Each true cause is among the first three, or as many more as there are true ones."""
    limit = FIRST + len(case.truth) - 1
    found = places(case, *shipped_book(case.family))
    assert max(found.values()) <= limit, found


def test_every_case_is_listed_with_its_standing() -> None:
    """No case file lies about unlisted, and each list entry says where its case comes from."""
    files = {path for path in FOLDER.rglob("*.yaml") if path.name != LIST}
    assert files == {case.path for case in CASES}
    for case in CASES:
        assert case.standing in ("repair report", "common practice"), case
        assert case.says.endswith("."), case


def test_there_are_enough_cases_from_reports() -> None:
    """At least forty come from published repair reports."""
    assert sum(case.standing == "repair report" for case in CASES) >= 40


@pytest.mark.parametrize(
    "case", worked_cases(FOLDER / "not_at_fault"), ids=lambda case: str(case.path.stem)
)
def test_deck_that_is_well_is_not_blamed(case: WorkedCase) -> None:
    """What is wrong outside the deck stands first, and nothing of the deck is likely."""
    found = ranking(case, *shipped_book(case.family))
    first, *others = found
    assert case.truth == (first,)
    assert max(found[cause] for cause in others) < 0.5


@pytest.mark.parametrize("family", families(shipped()))
def test_healthy_deck_accuses_nobody(family: str) -> None:
    """A deck on which intake and final test find nothing is well, with every cause unlikely."""
    book, _ = shipped_book(family)
    deck = Deck(age_years=45)
    steps = tuple(
        Given(check, list(book.checks[check].answers)[-1], "certain", number)
        for number, check in enumerate(dict.fromkeys([*book.intake, *book.final_test]), start=1)
        if fits(book.checks[check].where, deck.traits)
    )
    history = History((), steps)
    causes = solve(network(book, deck, history)).causes
    likely = {cause: p for cause, p in causes.items() if p > 0.2}
    assert likely == {}
    assert is_well(book, deck, history)


def test_strap_without_a_mains_motor_is_told_to_have_no_effect() -> None:
    """Common practice: only a motor that is fed from the mains follows its frequency."""
    _, rulebook = shipped_book("cassette")
    facts: dict[str, float | str] = {"strap_hz": 60.0, "local_hz": 50.0}
    without = rulebook.conclude(Deck(traits={"mains_motor": "no"}, facts=facts), History())
    assert "strap_wrong" not in without.derived
    assert "strap_no_effect" in without.thumbs
    with_motor = rulebook.conclude(Deck(traits={"mains_motor": "yes"}, facts=facts), History())
    assert "strap_wrong" in with_motor.derived
    assert "sync_speed_follows_mains" in with_motor.thumbs
