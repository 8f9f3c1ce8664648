"""Numbers with a unit: as people type them, and back."""

from __future__ import annotations

import re
from contextlib import suppress
from math import isfinite, log10

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.errors import BenchtrailError
from diag.model.quantity import figure, parse, shown, unit
from diag.model.units import UNITS, Unit

TYPED = [
    # Exact by the definition of the inch (25.4 mm).
    ("1 7/8 ips", "cm/s", 4.7625),
    ("1⅞ ips", "cm/s", 4.7625),
    ("15/16 ips", "cm/s", 2.38125),
    ("4.76 cm/s", "mm/s", 47.6),
    ("33 1/3", "rpm", 100 / 3),
    # Standard acceleration of free fall, 9.80665 m/s2, exact by definition.
    ("45 g·cm", "mN·m", 4.4129925),
    ("45 g.cm", "g·cm", 45.0),
    ("45 gcm", "g·cm", 45.0),
    ("45 g/cm", "g·cm", 45.0),
    ("22 mNm", "mN·m", 22.0),
    ("350g", "N", 3.4323275),
    # An ounce is a sixteenth of 0.45359237 kg, by definition.
    ("1 oz.in", "mN·m", 0.45359237 / 16 * 9.80665 * 25.4),
    ("4,7 uF", "µF", 4.7),
    ("4.7µF", "µF", 4.7),
    ("4.7 μF", "µF", 4.7),
    ("4n7", "µF", 0.0047),
    ("10 MFD", "µF", 10.0),
    ("10k", "ohm", 10_000.0),
    ("1M5", "ohm", 1.5e6),
    ("4R7", "ohm", 4.7),
    ("2k2 ohm", "ohm", 2200.0),
    ("2.2 kΩ", "ohm", 2200.0),
    ("3k15", "Hz", 3150.0),
    ("3.15 KHZ", "Hz", 3150.0),
    # Definition of dBV; dBu refers to the root of 0.6 V.
    ("-10 dBV", "V", 10**-0.5),
    ("\N{MINUS SIGN}10 dBV", "V", 10**-0.5),
    ("+4 dBu", "V", 0.6**0.5 * 10**0.2),
    ("200 nWb/m", "nWb/m", 200.0),
    # 1 Mx is 1e-8 Wb, so 32 mMx on a millimetre is 320 nWb/m.
    ("32 mMx/mm", "nWb/m", 320.0),
    ("212 °F", "°C", 100.0),
    ("1,234.5".replace(",", ""), "mm", 1234.5),
    ("0,125", "mm", 0.125),
    ("1e3", "mm", 1000.0),
    (".5", "mm", 0.5),
]


@pytest.mark.parametrize(("text", "symbol", "value"), TYPED, ids=[row[0] for row in TYPED])
def test_typed_quantities_are_read(text: str, symbol: str, value: float) -> None:
    """What people write at a bench is read in the unit that is asked."""
    assert parse(text, unit(symbol)) == pytest.approx(value, rel=1e-12)


REFUSED = [
    ("", "mm", "no number"),
    ("nan", "mm", "'nan' is no number"),
    ("inf", "mm", "'inf' is no number"),
    ("1e999", "mm", "too large"),
    ("1/0", "mm", "divides by zero"),
    ("1,234", "mm", "may be 1.234 or 1234"),
    ("1.234,5", "mm", "no unit that is known"),
    ("45 g·cm", "mm", "is a torque, but a length is asked"),
    ("12 furlongs", "mm", "'furlongs' in '12 furlongs'"),
    ("10k", "mm", "no unit that is known"),
    ("5 MOHM", "mm", "resistance"),
    ("9" * 80, "mm", "80 characters"),
    ("1 2", "mm", "no unit that is known"),
]


@pytest.mark.parametrize(("text", "symbol", "told"), REFUSED, ids=[row[0][:12] for row in REFUSED])
def test_refused_quantities_say_why(text: str, symbol: str, told: str) -> None:
    """An error says what was understood."""
    with pytest.raises(BenchtrailError, match=told):
        parse(text, unit(symbol))


def test_errors_name_the_units_that_are_taken() -> None:
    """Somebody who typed the wrong unit learns the right ones."""
    with pytest.raises(BenchtrailError) as caught:
        parse("3 kg", unit("mm/s"))
    assert "mm/s, cm/s, m/s, ips" in caught.value.do
    assert "counts as mm/s" in caught.value.do


units = st.sampled_from([one for one in UNITS if not one.is_level])
numbers = st.floats(1e-6, 1e9)


@given(st.one_of(units), numbers, st.booleans())
def test_shown_is_read_again(one: Unit, value: float, is_negative: bool) -> None:
    """What is shown to 15 figures comes back, to the last of them, in every unit."""
    value = -value if is_negative else value
    assert parse(shown(value, one, 15), one) == pytest.approx(value, rel=1e-13)


@given(st.data(), numbers)
def test_units_of_a_kind_go_round(data: st.DataObject, value: float) -> None:
    """Told in another unit of its kind and back, a value is the same."""
    one = data.draw(units)
    other = data.draw(st.sampled_from([unit for unit in UNITS if unit.kind == one.kind]))
    there = parse(f"{value!r} {one.symbol}", other)
    assert parse(f"{there!r} {other.symbol}", one) == pytest.approx(value, rel=1e-9, abs=1e-6)


@given(numbers)
def test_comma_is_a_point(value: float) -> None:
    """With a decimal comma the value is the same; what may be thousands is refused."""
    text = figure(value, 7)
    if re.fullmatch(r"[1-9]\d{0,2}\.\d{3}", text):
        with pytest.raises(BenchtrailError, match="may be"):
            parse(text.replace(".", ","), unit("mm"))
    else:
        assert parse(text.replace(".", ","), unit("mm")) == parse(text, unit("mm"))


@given(st.floats(1e-7, 1e11), st.integers(1, 9))
def test_figures_keep_their_digits(value: float, digits: int) -> None:
    """A shown figure is off by half a unit of its last digit at most."""
    off = abs(float(figure(value, digits)) - value)
    last = max(log10(value) // 1 - digits + 1, -20.0)
    assert off <= 0.5000001 * 10**last


@given(st.text(max_size=70))
def test_any_text_is_read_or_refused(text: str) -> None:
    """Nothing that can be typed ends in another error."""
    for symbol in ("mm", "ohm", "V", ""):
        with suppress(BenchtrailError):
            assert isfinite(parse(text, unit(symbol)))


def test_no_spelling_means_two_units() -> None:
    """In a kind, no two units share a spelling."""
    for one in UNITS:
        for other in UNITS:
            if one is not other and one.kind == other.kind:
                assert not {one.symbol, *one.aliases} & {other.symbol, *other.aliases}
