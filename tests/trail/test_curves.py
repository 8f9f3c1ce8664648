"""Axes, pictures and text drawings of curves."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.model.found import Curve
from diag.trail.axes import axes_of, mark_words
from diag.trail.before_after import CurvePair
from diag.trail.braille import BLANK, DOTS, LABELS, drawn
from diag.trail.svg import HEIGHT, WIDTH, picture

numbers = st.floats(-1e6, 1e6).filter(lambda n: n == 0 or abs(n) > 1e-6)


def curve(x: tuple[float, ...], y: tuple[float, ...], *, is_log: bool = False) -> Curve:
    """A curve through these points."""
    return Curve(name="c", says="A curve", x=x, y=y, x_unit="Hz", y_unit="dB", is_log=is_log)


@st.composite
def curves(draw: st.DrawFn) -> Curve:
    """Any curve, on either kind of axis."""
    is_log = draw(st.booleans())
    places = st.floats(1e-3, 1e6) if is_log else numbers
    points = draw(st.lists(st.tuples(places, numbers), min_size=1, max_size=20))
    points.sort()
    return curve(tuple(x for x, _ in points), tuple(y for _, y in points), is_log=is_log)


def pair_of(before: Curve | None, after: Curve | None = None) -> CurvePair:
    """The two curves as a pair."""
    return CurvePair(says="A curve", before=before, after=after)


@given(curves())
def test_every_point_lies_on_the_axes(drawn_curve: Curve) -> None:
    """From 0 to 1, in the order of the values; marks lie within, too, and are few."""
    axes = axes_of([drawn_curve])
    for axis, values in ((axes.across, drawn_curve.x), (axes.up, drawn_curve.y)):
        places = [axis.place(value) for value in sorted(values)]
        assert all(-1e-9 <= place <= 1 + 1e-9 for place in places)
        assert places == sorted(places)
        assert all(-1e-6 <= axis.place(mark) <= 1 + 1e-6 for mark in axis.marks)
        assert len(axis.marks) <= 12


@pytest.mark.parametrize(
    ("x", "is_log", "marks"),
    [
        ((0.0, 10.0), False, (0, 2, 4, 6, 8, 10)),
        ((-0.3, 0.9), False, (-0.2, 0, 0.2, 0.4, 0.6, 0.8)),
        ((20.0, 20_000.0), True, (20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000)),
        ((0.1, 1e6), True, (0.1, 1, 10, 100, 1000, 10_000, 100_000, 1_000_000)),
    ],
)
def test_marks_are_round_numbers(
    x: tuple[float, ...], is_log: bool, marks: tuple[float, ...]
) -> None:
    """Steps of 1, 2 or 5; decades alone where all would be too many."""
    axes = axes_of([curve(x, (0.0, 1.0), is_log=is_log)])
    assert axes.across.marks == pytest.approx(marks)


def test_both_curves_share_their_axes() -> None:
    """The axes reach over the lowest and the highest of both."""
    axes = axes_of([curve((0.0, 1.0), (0.0, 1.0)), curve((0.5, 2.0), (-3.0, 0.0))])
    assert (axes.across.low, axes.across.high) == (0.0, 2.0)
    assert axes.up.low <= -3.0
    assert axes.up.high >= 1.0


def test_marks_are_short() -> None:
    """Thousands as k."""
    assert [mark_words(m) for m in (0.0, 0.05, 315.0, 12_500.0)] == ["0", "0.05", "315", "12.5k"]


@given(curves(), curves() | st.none())
def test_picture_is_sound_xml_within_its_frame(first: Curve, second: Curve | None) -> None:
    """It parses, has one line for each curve, and every point lies within the frame."""
    second = replace(second, is_log=first.is_log) if second and not first.is_log else None
    root = ElementTree.fromstring(picture(pair_of(first, second)))
    lines = root.findall("polyline")
    assert [line.get("class") for line in lines] == ["before", "after"][: 2 if second else 1]
    for line in lines:
        for point in str(line.get("points")).split():
            x, y = map(float, point.split(","))
            assert 0 <= x <= WIDTH
            assert 0 <= y <= HEIGHT


def dots(lines: tuple[str, ...]) -> set[tuple[int, int]]:
    """The dots of a text drawing, counted from its upper left corner, labels left out."""
    found = set()
    for row, line in enumerate(lines):
        for column, sign in enumerate(line[LABELS + 1 :]):
            bits = ord(sign) - BLANK if BLANK <= ord(sign) <= BLANK + 0xFF else 0
            for down, pair in enumerate(DOTS):
                found |= {
                    (2 * column + right, 4 * row + down)
                    for right, bit in enumerate(pair)
                    if bits & bit
                }
    return found


def test_straight_line_is_drawn_from_corner_to_corner() -> None:
    """Rising from the lower left to the upper right, a dot in every column."""
    lines = drawn(pair_of(None, curve((0.0, 1.0), (0.0, 10.0))), 48, 11)
    found = dots(lines)
    assert {(0, 39), (79, 0)} <= found
    assert {x for x, _ in found} == set(range(80))
    rising = [min(y for x, y in found if x == column) for column in range(80)]
    assert rising == sorted(rising, reverse=True)


def test_before_is_dotted_only_beside_an_after() -> None:
    """Two curves can be told apart without colour: about half of the dots of the first are left."""
    flat = curve((0.0, 1.0), (1.0, 1.0))
    high = curve((0.0, 1.0), (9.0, 9.0))
    alone = dots(drawn(pair_of(flat), 48, 11))
    assert len(alone) == 80
    both = dots(drawn(pair_of(flat, high), 48, 11))
    upper = {dot for dot in both if dot[1] < 20}
    assert len(upper) == 80
    assert 35 <= len(both - upper) <= 45


@given(curves(), st.integers(24, 150), st.integers(5, 50))
def test_drawing_fits_its_room(drawn_curve: Curve, width: int, height: int) -> None:
    """As many lines as there is room for, none too long, whatever the curve."""
    lines = drawn(pair_of(drawn_curve), width, height)
    assert len(lines) == height
    assert max(map(len, lines)) <= width


def test_too_little_room_says_so() -> None:
    """Nothing is drawn that can't be read."""
    assert drawn(pair_of(curve((0.0, 1.0), (0.0, 1.0))), 10, 3) == ("(no room for the curve)",)


def test_axes_are_marked_at_their_places() -> None:
    """The highest mark stands in the first line, the lowest in the last; units at the end."""
    lines = drawn(pair_of(curve((0.0, 10.0), (0.0, 10.0))), 60, 12)
    assert lines[0].lstrip().startswith("10┤")
    assert lines[-2].lstrip().startswith("0┤")
    assert re.fullmatch(r" +0 +2 +4 +6 +8 +Hz", lines[-1])


@pytest.mark.parametrize("level", [1e-5, -1.25e-5, 123456.0])
def test_long_marks_have_room(level: float) -> None:
    """Marks of tiny figures are longer than most; the curve gives way to them."""
    lines = drawn(pair_of(curve((0.0, 1.0), (level, level * 1.1))), 24, 5)
    assert max(map(len, lines)) <= 24
    assert all("┤" in line or "│" in line for line in lines[:-1])
