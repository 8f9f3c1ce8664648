"""Numbers and bars as they are typed and shown."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.errors import CaseError
from screens.numbers import number_of
from screens.widgets.cause_list import bar, change_in_words


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
