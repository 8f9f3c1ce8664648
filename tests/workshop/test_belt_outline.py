"""The lines that are drawn have the length that is reckoned."""

from __future__ import annotations

from itertools import pairwise
from math import dist

import pytest

from diag.workshop.catalogue import SUMS
from diag.workshop.work import work

DRAWN = [one for one in SUMS.values() if one.outline]


def test_belts_have_an_outline() -> None:
    """The four paths of belts, each round its pulleys."""
    assert {one.name for one in DRAWN} == {"belt_open", "belt_crossed", "belt_three", "belt_round"}


@pytest.mark.parametrize("name", [one.name for one in DRAWN])
def test_line_of_a_belt_is_as_long_as_its_path(name: str) -> None:
    """Chords of 48 to the circle are short by less than 1 part in 1000 (arithmetic)."""
    result = work(SUMS[name], SUMS[name].example.given)
    outline = SUMS[name].outline
    assert outline is not None
    *rings, belt = outline(**{one.argument: value for one, value in result.taken})
    path = {out.key: value for out, value in result.gives}["path"]
    assert isinstance(path, float)
    length = sum(dist(a, b) for a, b in pairwise(belt))
    assert path * 0.999 <= length <= path * (1 + 1e-9)
    assert all(ring[0] == pytest.approx(ring[-1]) for ring in rings)


def test_pulley_that_presses_from_outside_is_drawn_so() -> None:
    """The belt passes below a pulley of 20 mm whose centre is 10 mm up, not round it."""
    outline = SUMS["belt_round"].outline
    assert outline is not None
    *_, belt = outline(pulleys_mm=((0, 0, 20), (100, 0, 20), (50, 10, -20)))
    near = [y for x, y in belt if abs(x - 50) < 5]
    assert max(near) == pytest.approx(0, abs=0.5)  # an arc of a few points
