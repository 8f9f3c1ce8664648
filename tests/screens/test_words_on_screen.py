"""Numbers and bars as they are typed and shown."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.console import Console

from diag.errors import CaseError
from diag.session.assessment import RankedCause
from diag.session.words import ranked_chance
from screens.numbers import number_of
from screens.widgets.cause_list import bar, change_in_words, row


@pytest.mark.parametrize(
    ("typed", "value"), [("1,5", 1.5), ("-2.1", -2.1), (" +3 ", 3.0), (".5", 0.5), ("0", 0.0)]
)
def test_number_has_point_or_comma(typed: str, value: float) -> None:
    """Both are written at benches."""
    assert number_of(typed) == value


@pytest.mark.parametrize("typed", ["", "-", "1.2.3", "1,2,3", "inf", "nan", "3 mm", "1e999"])
def test_what_is_no_finite_number_is_refused(typed: str) -> None:
    """The message says what was typed, and what to do."""
    with pytest.raises(CaseError) as told:
        number_of(typed)
    assert told.value.do


@given(p=st.floats(0, 1), width=st.integers(1, 80))
def test_bar_keeps_its_width_and_shows_what_is_possible(p: float, width: int) -> None:
    """Heavy and light cells fill the width; any probability above zero shows."""
    drawn = bar(p, width).plain
    assert len(drawn) == width
    assert ("━" in drawn) == (p > 0)
    assert abs(drawn.count("━") - p * width) <= 1


@pytest.mark.parametrize(
    ("change", "words"), [(0.12, "▲12"), (-0.05, "▼5"), (0.004, "="), (-0.004, "="), (0.0, "=")]
)
def test_change_is_marked_without_colour(change: float, words: str) -> None:
    """Up, down or the same, in hundredths."""
    assert change_in_words(change) == words


@given(low=st.floats(0, 1), more=st.floats(0, 1), width=st.integers(1, 80))
def test_bar_of_an_interval_has_its_lower_bound_inside_its_upper(
    low: float, more: float, width: int
) -> None:
    """Heavy cells to the lower bound, broken ones to the upper, and the width is kept."""
    high = min(1.0, low + more)
    drawn = bar(low, width, high).plain
    assert len(drawn) == width
    assert drawn == "".join(sorted(drawn, key="━╍─".index))
    assert drawn.count("━") == bar(low, width).plain.count("━")
    assert drawn.count("━") + drawn.count("╍") == bar(high, width).plain.count("━")


def test_long_name_of_a_cause_is_broken_and_not_cut() -> None:
    """In a narrow column the whole name stands above its bar."""
    says = "Capstan belt stretched and slipping on its pulleys"
    cause = RankedCause(id="belt", says=says, probability=0.3, before=0.3)
    console = Console(width=26, record=True)
    with console.capture() as drawn:
        console.print(row(cause, 26))
    *name, line = drawn.get().splitlines()
    assert " ".join(" ".join(name).split()) == says
    assert line.startswith("━")
    assert "30 %" in line


@pytest.mark.parametrize(
    ("bounds", "words"),
    [(None, "30 %"), ((0.12, 0.48), "12-48 %"), ((0.3, 0.301), "30 %"), ((0.001, 1.0), "<1-100 %")],
)
def test_bounded_chance_is_told_as_an_interval(
    bounds: tuple[float, float] | None, words: str
) -> None:
    """What is not exact is never shown as one number, unless both ends round to it."""
    cause = RankedCause("belt", "Worn belt", 0.3, 0.2, bounds)
    assert ranked_chance(cause) == words


@pytest.mark.parametrize("width", [27, 60])
def test_row_of_a_bounded_cause_shows_its_interval_and_no_change(width: int) -> None:
    """How far an answer moved what is only bounded is not known."""
    console = Console(width=width)
    with console.capture() as shown:
        console.print(row(RankedCause("belt", "Worn belt", 0.3, 0.2, (0.12, 0.48)), width))
    assert "12-48 %" in shown.get()
    assert "▲" not in shown.get()
