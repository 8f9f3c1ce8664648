"""Paths of belts against the outline of the pulleys, and what must grow with what."""

from __future__ import annotations

from math import asin, atan2, cos, dist, pi, sin

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diag.errors import BenchtrailError
from diag.workshop.belt_round import round_path, three_path
from diag.workshop.belts import crossed_path, fit, free_length, from_string, open_path

POINTS = 1440
"""Points on each circle; the outline is short by about 1 part in 1e6 then."""

Circle = tuple[float, float, float]


def outline(circles: list[Circle]) -> float:
    """Length of the convex outline of circles (x, y, diameter), by points on them."""
    points = sorted(
        (x + d / 2 * cos(2 * pi * n / POINTS), y + d / 2 * sin(2 * pi * n / POINTS))
        for x, y, d in circles
        for n in range(POINTS)
    )
    edge = half_edge(points)[:-1] + half_edge(points[::-1])[:-1]
    return sum(dist(a, b) for a, b in zip(edge, edge[1:] + edge[:1], strict=True))


def half_edge(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """One side of the outline of sorted points."""
    edge: list[tuple[float, float]] = []
    for x, y in points:
        while len(edge) > 1:
            (x1, y1), (x2, y2) = edge[-2:]
            if (x2 - x1) * (y - y1) - (y2 - y1) * (x - x1) > 0:
                break
            edge.pop()
        edge.append((x, y))
    return edge


@pytest.mark.parametrize(
    ("big", "small", "centre"), [(60, 6, 40), (80, 10, 100), (5, 5, 9), (6, 60, 80)]
)
def test_open_path_is_the_outline(big: float, small: float, centre: float) -> None:
    """The belt is the convex outline of its two pulleys."""
    length, _ = open_path(big, small, centre)
    assert length == pytest.approx(outline([(0, 0, big), (centre, 0, small)]), rel=1e-5)


THREE = [
    [(0, 0, 10), (30, 0, 20), (12, 40, 5)],
    [(0, 0, 30), (60, 5, 4), (-10, 50, 12)],
    [(0, 0, 3), (80, 0, 3), (40, 9, 3)],
    [(5, 1, 50), (60, 10, 20), (30, 44, 1)],
]


@pytest.mark.parametrize("circles", THREE)
def test_three_pulleys_path_is_the_outline(circles: list[Circle]) -> None:
    """So it is for three; the angles go once round, and a mirrored layout has the same path."""
    a, b, c = circles
    sides = (dist(a[:2], b[:2]), dist(b[:2], c[:2]), dist(c[:2], a[:2]))
    length, *wraps = three_path(a[2], b[2], c[2], *sides)
    assert length == pytest.approx(outline(circles), rel=1e-5)
    assert sum(wraps) == pytest.approx(360)
    assert three_path(b[2], a[2], c[2], sides[0], sides[2], sides[1])[0] == pytest.approx(length)


def test_pulley_that_the_belt_misses_is_told() -> None:
    """A small pulley between two large ones does not touch the belt."""
    with pytest.raises(BenchtrailError, match="no belt lies on all"):
        three_path(40, 40, 2, 100, 51, 51)


def test_overlapping_pulleys_are_told() -> None:
    """Shafts nearer than the radii are a slip of measuring."""
    with pytest.raises(BenchtrailError, match="pulleys overlap"):
        open_path(60, 20, 40)
    with pytest.raises(BenchtrailError, match="pulleys 2 and 3 overlap"):
        three_path(10, 10, 10, 30, 9, 30)
    with pytest.raises(BenchtrailError, match="no triangle"):
        three_path(1, 1, 1, 10, 10, 30)


MANY = [
    [(0, 0, 20), (60, -5, 8), (70, 40, 30), (10, 50, 4)],
    [(0, 0, 12), (40, -20, 6), (80, 0, 30), (60, 50, 10), (5, 45, 5)],
]


@pytest.mark.parametrize("circles", MANY)
def test_many_pulleys_path_is_the_outline(circles: list[Circle]) -> None:
    """Round four and more too, whichever way they are listed and wherever one begins."""
    length, turns = round_path(circles)
    assert length == pytest.approx(outline(circles), rel=1e-5)
    assert sum(turns) == pytest.approx(2 * pi)
    backwards, turns_back = round_path(circles[::-1])
    assert backwards == pytest.approx(length)
    assert turns_back == pytest.approx(turns[::-1])
    assert round_path(circles[1:] + circles[:1])[0] == pytest.approx(length)


def test_two_pulleys_by_centres_are_the_open_belt() -> None:
    """The same path as by diameters and distance."""
    assert round_path([(3, 4, 60), (3, 84, 6)])[0] == pytest.approx(open_path(60, 6, 80)[0])


def test_pulley_pressing_from_outside() -> None:
    """Two pulleys of 20 mm, and a third pressing with its centre level with their strand."""
    length, turns = round_path([(0, 0, 20), (100, 0, 20), (50, 10, -20)])
    # Half the middle strand: centres hypot(50, 10) apart, radii of both sides: 20 between them.
    strand = (50**2 + 10**2 - 20**2) ** 0.5
    # Its slope against the level, from the right triangles of centres and radii.
    slope = asin(20 / 2600**0.5) - atan2(10, 50)
    assert length == pytest.approx(100 + 2 * strand + 10 * (2 * pi + 4 * slope))
    assert turns[2] == pytest.approx(2 * slope)


@pytest.mark.parametrize(
    "circles",
    [
        [(0, 0, 10), (100, 100, 10), (100, 0, 10), (0, 100, 10)],
        [(0, 0, 40), (100, 0, 40), (50, 5, 2)],
    ],
)
def test_impossible_belt_is_told(circles: list[Circle]) -> None:
    """A belt that would cross itself, or miss a pulley, is refused."""
    with pytest.raises(BenchtrailError, match="no belt lies on all"):
        round_path(circles)


pulleys = st.floats(1, 100)


@given(pulleys, pulleys, st.floats(1, 300), st.floats(1.01, 2))
def test_paths_grow_with_every_measure(big: float, small: float, gap: float, more: float) -> None:
    """A larger pulley or a longer way between shafts never needs a shorter belt."""
    centre = (big * more + small) / 2 + gap
    for path in (open_path, crossed_path):
        length = path(big, small, centre)[0]
        assert path(big * more, small, centre)[0] > length
        assert path(big, small, centre * more)[0] > length
    assert crossed_path(big, small, centre)[0] > open_path(big, small, centre)[0]
    assert open_path(small, big, centre) == open_path(big, small, centre)


@given(st.floats(5, 20000), st.floats(0, 30))
def test_stretch_goes_round(path: float, stretch: float) -> None:
    """The belt for a wanted stretch has that stretch on its path."""
    free, ring = free_length(path, stretch)
    assert fit(path, free, 5, 10)[2] == pytest.approx(stretch, abs=1e-9)
    assert ring * pi == pytest.approx(free)


@given(st.floats(5, 20000), st.floats(0, 25))
def test_belt_from_a_string_is_judged_by_its_limits(string: float, shorter: float) -> None:
    """Slack below 5 %, right to 10 %, tight above."""
    assume(min(abs(shorter - 5), abs(shorter - 10)) > 1e-6)
    free, _ = from_string(string, shorter)
    wanted = "slack" if shorter < 5 else "tight" if shorter > 10 else "right"
    assert fit(string, free, 5, 10)[0].startswith(wanted)
