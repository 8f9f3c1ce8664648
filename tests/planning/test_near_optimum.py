"""The planner against the best plan there is, on decks small enough to know it."""

from __future__ import annotations

import pytest
from exact_expectimax import fewest_minutes
from exact_optimum import Optimum
from exact_policy import Walk
from exact_world import World, small_book


@pytest.mark.parametrize("seed", range(6))
def test_optimum_is_that_of_every_plan_tried(seed: int) -> None:
    """Leaving out dominated actions costs nothing: with three causes it equals the full search."""
    book = small_book(seed, causes=3, layers=2)
    assert Optimum(World(book)).minutes == pytest.approx(fewest_minutes(book), abs=1e-5)


@pytest.mark.parametrize("seed", range(3))
def test_optimum_lies_between_foresight_and_the_planner(seed: int) -> None:
    """Nobody is quicker than one who knows the faults, nor the planner than the best plan."""
    world = World(small_book(seed, causes=5))
    foreseen = float(world.start @ world.foreseen[:, 0])
    found = Optimum(world).minutes
    assert foreseen < found <= Walk(world).minutes + 1e-3
