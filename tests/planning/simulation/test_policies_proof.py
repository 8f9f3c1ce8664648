"""The planner against other ways of working, on decks drawn from the cassette book.

The goals were set before the planner was tuned; its constants were chosen on another seed. The
same figures for any number of decks come from `benchtrail knowledge simulate --faults 1-4`.
"""

from __future__ import annotations

from functools import cache

import pytest

from diag.planning.simulation.compare import Trial, Tried, compare
from diag.planning.simulation.drawn_deck import Kind
from diag.planning.simulation.score import score
from diag.reading.book import read_book
from diag.reading.location import shipped

pytestmark = pytest.mark.proof

DECKS = 200
SEED = 20261
ONE_TO_FOUR = Kind(faults=(1, 4))
OTHERS = ("walk", "textbook", "cost_over_probability", "information")


@cache
def tried(*policies: str, cant_tell: float = 0.08, misjudged: float = 0.0) -> tuple[Tried, ...]:
    """Decks with one to four faults, one in twenty with a fault that the book doesn't know."""
    trial = Trial(
        decks=DECKS,
        seed=SEED,
        policies=("planner", *policies),
        kind=ONE_TO_FOUR,
        cant_tell=cant_tell,
        misjudged=misjudged,
    )
    return compare(read_book(shipped(), "cassette"), trial)


def test_planner_takes_at_most_twice_the_minutes_of_one_who_knows_the_faults() -> None:
    """Mean minutes to all faults mended, over those of a clairvoyant."""
    found = score(tried(*OTHERS)).policies["planner"]
    assert found.ratio_to_clairvoyant <= 2.0, found


@pytest.mark.parametrize(("other", "most"), [("cost_over_probability", 0.65), ("textbook", 0.4)])
def test_planner_beats_the_common_ways(other: str, most: float) -> None:
    """Mean minutes over those of cost over probability with a look, and of the fixed order."""
    found = score(tried(*OTHERS)).policies[other]
    assert found.planner_ratio is not None
    assert found.planner_ratio <= most, (found.planner_ratio, found.planner_ratio_interval)


def test_no_deck_is_worked_on_without_end() -> None:
    """None takes over ten times the clairvoyant's minutes unless it is called outside the book."""
    assert score(tried(*OTHERS)).policies["planner"].loops == 0


@pytest.mark.parametrize(("deviation", "most"), [(0.5, 1.10), (1.0, 1.20)])
def test_figures_that_are_off_cost_little(deviation: float, most: float) -> None:
    """Every figure off by such a deviation on log-odds, against figures that are right."""
    base = score(tried(*OTHERS)).policies["planner"].mean_minutes
    found = score(tried(misjudged=deviation)).policies["planner"].mean_minutes
    assert found <= most * base, found / base


def test_a_quarter_that_cant_be_told_costs_little() -> None:
    """One answer in four that can't be told, against one in twelve."""
    base = score(tried(*OTHERS)).policies["planner"].mean_minutes
    found = score(tried(cant_tell=0.25)).policies["planner"].mean_minutes
    assert found <= 1.20 * base, found / base


def test_chances_are_what_they_say() -> None:
    """Expected calibration error after complaints and intake, on decks as the book draws them."""
    trial = Trial(decks=DECKS, seed=SEED, policies=(), kind=Kind())
    found = score(compare(read_book(shipped(), "cassette"), trial)).calibration
    assert found.ece <= 0.01, found
