"""Discharge: the sums agree with each other and go the way that physics goes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.errors import BenchtrailError
from diag.workshop.discharge import discharge, left, resistor

volts = st.floats(31, 5000)
farads = st.floats(0.001, 1e5)
ohms = st.floats(1, 1e6)


@given(farads, volts, ohms, st.floats(0.1, 30))
def test_time_and_rest_agree(capacitance: float, volt: float, ohm: float, safe: float) -> None:
    """After the time to a voltage, that voltage is left; and the resistor of that time is ours."""
    seconds, *_ = discharge(capacitance, volt, ohm, safe)
    assert left(capacitance, volt, ohm, seconds)[0] == pytest.approx(safe)
    found, power = resistor(capacitance, volt, seconds, safe)
    assert found == pytest.approx(ohm)
    assert power == pytest.approx(volt**2 / ohm)


@given(farads, volts, ohms, st.floats(1.01, 3))
def test_more_of_anything_takes_longer(
    capacitance: float, volt: float, ohm: float, more: float
) -> None:
    """More capacitance, voltage or resistance takes longer; a higher safe voltage less."""
    seconds = discharge(capacitance, volt, ohm, 10)[0]
    assert discharge(capacitance * more, volt, ohm, 10)[0] > seconds
    assert discharge(capacitance, volt * more, ohm, 10)[0] > seconds
    assert discharge(capacitance, volt, ohm * more, 10)[0] > seconds
    assert discharge(capacitance, volt, ohm, 10 * more)[0] < seconds


def test_what_is_safe_already_is_no_sum() -> None:
    """A voltage below the safe one is told, with a word on the meter."""
    with pytest.raises(BenchtrailError, match="Measure again"):
        discharge(100, 9, 1000, 10)
