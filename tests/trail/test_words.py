"""Figures in words."""

from __future__ import annotations

from datetime import UTC, datetime
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.cases.captured import Reading
from diag.cases.events import Captured, Measured
from diag.model.book import Book
from diag.model.found import Figure
from diag.trail.words import event_words, figure_words

AT = datetime(2026, 3, 1, 9, tzinfo=UTC)
EMPTY = Book(family="f", says="F")


@pytest.mark.parametrize(
    ("value", "within", "unit", "words"),
    [
        (-1.6342, 0.0213, "%", "-1.634 ± 0.022 %"),
        (-1.6342, 0.05, "%", "-1.63 ± 0.05 %"),
        (-1.6342, 0.2, "%", "-1.63 ± 0.20 %"),
        (3012.4, 34.0, "Hz", "3012 ± 34 Hz"),
        (3012.4, 120.0, "Hz", "3012 ± 120 Hz"),
        (0.5, 0.0, "", "0.5"),
        (-0.00001, 0.001, "dB", "0.0000 ± 0.0010 dB"),
        (31.23456, 0.0, "dB", "31.2 dB"),
        (-1e-15, 0.0, "dB", "0 dB"),
        (-inf, 0.0, "dB", "-inf dB"),
        (0.5, 1e-9, "dB", "0.5000 ± 0.0001 dB"),
    ],
)
def test_figure_is_told_as_far_as_it_is_known(
    value: float, within: float, unit: str, words: str
) -> None:
    """Digits end where the uncertainty begins."""
    assert figure_words(value, within, unit) == words


@pytest.mark.parametrize(
    ("found", "within", "read", "unit", "words"),
    [
        (0.163353, 0.0041, 0.163353, "%", "0.163 %"),
        (-146.954, 0.6, 146.954, "deg", "147.0 deg"),
        (31.23456, 0.0, 31.23456, "dB", "31.2 dB"),
        (31.23456, 0.2, 12.34567, "dB", "12.3 dB"),
    ],
)
def test_reading_is_told_as_far_as_its_figure_is_known(
    found: float, within: float, read: float, unit: str, words: str
) -> None:
    """With or without the sign; to three digits where no uncertainty is told."""
    event = Captured(
        what="azimuth",
        file="a.wav",
        figures=(Figure(key="a_b", says="that", value=found, uncertainty=within, unit=unit),),
        readings=(Reading(check="gone", value=read, unit=unit, answer="off"),),
        source="from_memory",
        at=AT,
    )
    assert event_words(EMPTY, [event], 1).endswith(f" gone {words}, off.")


def test_typed_figure_stays_as_typed() -> None:
    """Its digits are what a person meant."""
    event = Measured("gone", 3003.25, "Hz", "off", "certain", at=AT)
    assert event_words(EMPTY, [event], 1) == "gone 3003.25 Hz, off."


@given(value=st.floats(-1e5, 1e5), within=st.floats(1e-12, 1e5))
def test_told_interval_is_no_narrower(value: float, within: float) -> None:
    """The uncertainty that is told is at least the true one, and at most by half above it."""
    told, half = figure_words(value, within).split(" ± ")
    assert float(half) >= within * (1 - 1e-6)
    assert float(half) <= max(1.5 * within, 1e-4)
    assert abs(float(told) - value) <= max(0.51 * within, 1e-4)
