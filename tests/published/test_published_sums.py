"""Bench sums against figures printed outside the project, and against exact arithmetic.

Each table says which of its figures were printed and which follow from its formula.
"""

from __future__ import annotations

import pytest

from diag.model.quantity import parse, unit
from diag.workshop import (
    belt_load,
    belts,
    capacitors,
    discharge,
    esr,
    forces,
    levels,
    mains,
    reels,
    replay,
    speed,
)


@pytest.mark.parametrize(
    ("big", "small", "centre", "exact", "crossed", "wrap"),
    [
        # Printed for the first: 27.32 m open; for the second: 63.87. A textbook answer for the
        # fourth, from memory: 4975 crossed. All digits by the exact formula.
        (1600, 500, 12000, 27323.885, 27390.606, 174.746),
        (10, 5, 20, 63.8749, 66.4089, 165.6385),
        (10, 2, 24, 67.5178, 68.3575, 160.8119),
        (450, 200, 1950, 4929.0332, 4975.3107, 172.6493),
        (60, 6, 40, 202.7101, 212.9165, 95.0917),
        (60, 6, 80, 272.8747, 277.4888, 140.5507),
        (80, 10, 100, 353.7516, 361.9863, 139.0254),
    ],
)
def test_belt_paths(
    big: float, small: float, centre: float, exact: float, crossed: float, wrap: float
) -> None:
    """Open and crossed paths and the angle on the small pulley."""
    assert belts.open_path(big, small, centre) == pytest.approx((exact, wrap), abs=6e-4)
    assert belts.crossed_path(big, small, centre)[0] == pytest.approx(crossed, abs=6e-4)


@pytest.mark.parametrize(("stretch", "free"), [(3, 242.7), (5, 238.1), (8, 231.5), (10, 227.3)])
def test_free_lengths(stretch: float, free: float) -> None:
    """A path of 250 mm, by arithmetic."""
    assert belts.free_length(250, stretch)[0] == pytest.approx(free, abs=0.05)


@pytest.mark.parametrize(
    ("hardness", "modulus"),
    [(30, 1.1424), (40, 1.6896), (45, 2.0379), (50, 2.4558), (60, 3.6051), (70, 5.5205)],
)
def test_modulus_of_rubber(hardness: float, modulus: float) -> None:
    """The formula of 1958 as published; the figures follow from it."""
    assert belt_load.modulus_mpa(hardness) == pytest.approx(modulus, abs=6e-5)


def test_flat_belt_pulls() -> None:
    """5 x 0.6 mm, 60 Shore A, 5 %: 0.541 N, by the same formula."""
    assert belt_load.load(60, 5, 0.6, 5)[1] == pytest.approx(0.541, abs=5e-4)


@pytest.mark.parametrize(
    ("poles", "rpm_60hz", "rpm_50hz"),
    [
        # Printed in a course table, 2 to 18 poles; its 428 and 334 rpm at 50 Hz are exact here.
        (2, 3600, 3000),
        (4, 1800, 1500),
        (6, 1200, 1000),
        (8, 900, 750),
        (10, 720, 600),
        (12, 600, 500),
        (14, 514.285714, 428.571429),
        (16, 450, 375),
        (18, 400, 333.333333),
        (24, 300, 250),
    ],
)
def test_synchronous_speeds(poles: float, rpm_60hz: float, rpm_50hz: float) -> None:
    """By poles and frequency."""
    assert mains.synchronous(poles, 60)[0] == pytest.approx(rpm_60hz)
    assert mains.synchronous(poles, 50)[0] == pytest.approx(rpm_50hz)


@pytest.mark.parametrize(
    ("percent", "cents"),
    [
        # 1200 log2(1 + p / 100), by arithmetic.
        (-16.66666667, -315.6413),
        (-5, -88.8007),
        (-1.5, -26.1652),
        (-0.1, -1.7321),
        (0.5, 8.6346),
        (1.5, 25.7757),
        (3, 51.1732),
        (5.946309436, 100),
        (20, 315.6413),
    ],
)
def test_percent_and_cents(percent: float, cents: float) -> None:
    """Both ways."""
    assert speed.cents(percent) == pytest.approx((cents,), abs=6e-5)
    assert speed.percent(cents) == pytest.approx((percent,), abs=1e-5)


@pytest.mark.parametrize(
    ("typed", "cm_s"),
    [
        # Printed speeds; exact by 25.4 mm to an inch.
        ("15/16 ips", 2.38125),
        ("1 7/8 ips", 4.7625),
        ("3 3/4 ips", 9.525),
        ("7 1/2 ips", 19.05),
        ("15 ips", 38.1),
        ("30 ips", 76.2),
    ],
)
def test_tape_speeds(typed: str, cm_s: float) -> None:
    """As they are printed on decks."""
    assert parse(typed, unit("cm/s")) == pytest.approx(cm_s, rel=1e-12)


@pytest.mark.parametrize(
    ("diameter", "turns"),
    [(2.0, 7.58), (2.5, 6.06), (3.0, 5.05), (13, 1.17), (22, 0.69), (44, 0.345), (52, 0.29)],
)
def test_rates_of_turning(diameter: float, turns: float) -> None:
    """At 47.625 mm/s, by arithmetic, rounded as shown."""
    assert reels.turning(diameter, 4.7625)[0] == pytest.approx(turns, abs=6e-3)


E_SERIES = {
    # IEC 60063, as printed in tables of preferred values.
    3: (10, 22, 47),
    6: (10, 15, 22, 33, 47, 68),
    12: (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82),
    24: (
        *(10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30),
        *(33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91),
    ),
}


@pytest.mark.parametrize("series", E_SERIES)
def test_preferred_values_are_those_of_the_standard(series: int) -> None:
    """Walking up by the next value gives the printed series; each of it is its own nearest."""
    walked, value = [], 10.0
    while value < 99:
        walked.append(value)
        assert capacitors.preferred(value, series) == (value, value, value, 0)
        value = capacitors.preferred(value * 1.001, series)[2]
    assert tuple(walked) == E_SERIES[series]
    assert value == 100


@pytest.mark.parametrize(
    ("rated", "hottest", "inside", "hours"),
    [
        # The rule is printed in a capacitor maker's primer; hours by arithmetic.
        (2000, 105, 105, 2000),
        (2000, 105, 95, 4000),
        (2000, 105, 45, 128000),
        (1000, 85, 45, 16000),
        (2000, 85, 40, 45254.83),
    ],
)
def test_life_by_ten_degrees(rated: float, hottest: float, inside: float, hours: float) -> None:
    """Twice as long for ten degrees less."""
    assert capacitors.life(rated, hottest, inside)[0] == pytest.approx(hours)


@pytest.mark.parametrize(("capacitance", "volts", "limit"), [(47, 40, 18.8), (2200, 35, 770)])
def test_leakage_limits(capacitance: float, volts: float, limit: float) -> None:
    """Both printed: in an article on capacitors, and on a maker's page."""
    assert capacitors.leakage(capacitance, volts) == pytest.approx((limit,))


@pytest.mark.parametrize(
    ("current", "capacitance", "hertz", "volts"),
    [
        (2000, 1000, 60, 16.67),  # printed on a calculator's page
        (153.7, 1281, 60, 1.0),  # a printed problem; its exact answer by arithmetic
        (500, 2200, 50, 2.273),  # arithmetic
        (500, 2200, 60, 1.894),  # arithmetic
    ],
)
def test_ripple(current: float, capacitance: float, hertz: float, volts: float) -> None:
    """Full wave."""
    assert capacitors.ripple(current, capacitance, hertz, 2)[0] == pytest.approx(volts, rel=5e-4)


@pytest.mark.parametrize(
    ("capacitance", "volts", "usual", "highest"),
    [
        # As printed in the two tables.
        (10, 25, 14.0, 5.3),
        (47, 16, 3.5, 1.6),
        (100, 63, 0.93, 0.3),
        (1000, 25, 0.14, 0.08),
        (4700, 10, 0.04, 0.23),
        (4.7, 250, 13.0, 5.0),
        (10000, 35, 0.01, 0.04),
    ],
)
def test_series_resistance_at_printed_marks(
    capacitance: float, volts: float, usual: float, highest: float
) -> None:
    """At a mark of the tables, their figures; doubtful is twice the larger."""
    wanted = (usual, highest, 2 * max(usual, highest))
    assert esr.limits(capacitance, volts) == pytest.approx(wanted)


@pytest.mark.parametrize(
    ("capacitance", "volts", "ohm", "seconds", "printed", "within"),
    [
        (100, 300, 10_000, 3, 15, 0.1),  # printed: about 15 V
        (100, 300, 10_000, 6, 0.75, 0.01),  # printed: about 0.75 V
        (100, 300, 10_000, 1.6094, 60, 0.01),  # arithmetic
        (2200, 35, 220, 2.42, 0.2358, 1e-4),  # arithmetic
    ],
)
def test_voltage_left(
    capacitance: float, volts: float, ohm: float, seconds: float, printed: float, within: float
) -> None:
    """After a time through a resistor."""
    left = discharge.left(capacitance, volts, ohm, seconds)[0]
    assert left == pytest.approx(printed, abs=within)


@pytest.mark.parametrize(
    ("friction", "angle", "ratio"),
    [
        # The first is printed as about 6.6; digits by arithmetic.
        (0.3, 360, 6.586),
        (0.3, 180, 2.566),
        (0.3, 90, 1.602),
        (0.5, 180, 4.810),
    ],
)
def test_grip_of_a_wrap(friction: float, angle: float, ratio: float) -> None:
    """Tight side over slack side."""
    assert forces.wrap(friction, angle) == pytest.approx((ratio,), abs=6e-4)


@pytest.mark.parametrize(
    ("gcm", "mnm"),
    # 0.0980665 mN·m to a g·cm, by definition; the g·cm are limits printed in service manuals.
    [(30, 2.942), (65, 6.374), (0.5, 0.049), (200, 19.613), (150, 14.71)],
)
def test_torques_of_manuals(gcm: float, mnm: float) -> None:
    """From g·cm, and back."""
    assert parse(f"{gcm} g·cm", unit("mN·m")) == pytest.approx(mnm, abs=6e-4)
    assert forces.torque(gcm * 0.0980665)[1] == pytest.approx(gcm)


def test_tension_at_a_full_pack() -> None:
    """50 g·cm at a radius of 25 mm is 20 gf, by arithmetic."""
    assert forces.tension(50 * 0.0980665, 50)[1] == pytest.approx(20)


@pytest.mark.parametrize(
    ("flux", "reference", "level"),
    [
        # 20 log10 of the ratio; which fluxes are in use is printed, the levels are arithmetic.
        (200, 160, 1.9382),
        (250, 160, 3.8764),
        (250, 185, 2.6154),
        (220, 200, 0.8279),
        (320, 250, 2.1442),
        (355, 250, 3.0458),
    ],
)
def test_reference_fluxes(flux: float, reference: float, level: float) -> None:
    """Steps between the reference fluxes that are met."""
    assert levels.flux(flux, reference) == pytest.approx((level,), abs=6e-5)


def test_line_levels() -> None:
    """+4 dBu is 1.2277 V, and lies 11.78 dB above -10 dBV: printed, and by arithmetic."""
    pro, home = parse("+4 dBu", unit("V")), parse("-10 dBV", unit("V"))
    assert pro == pytest.approx(1.2277, abs=6e-5)
    assert levels.decibels(pro, home)[0] == pytest.approx(11.78, abs=0.011)
    # 0.49 V is called -4 dB by one maker: -3.98 dBu by arithmetic.
    assert levels.level(0.49)[2] == pytest.approx(-3.98, abs=6e-3)


@pytest.mark.parametrize(
    ("gap", "hertz", "factor", "level"),
    [
        # Sine of x over x; 1.11 is printed, 1.136 from memory, levels by arithmetic.
        (0.45, 16000, 1.11, -0.4061),
        (0.8, 10000, 1.12, -0.5117),
        (1.0, 10000, 1.11, -0.7905),
        (1.0, 20000, 1.136, -3.537),
        (1.0, 16000, 1.0, -1.6771),
    ],
)
def test_gap_losses(gap: float, hertz: float, factor: float, level: float) -> None:
    """At compact cassette speed."""
    assert replay.gap(gap, hertz, 4.7625, factor)[0] == pytest.approx(level, abs=6e-5)


@pytest.mark.parametrize(
    ("hertz", "spacing", "level"),
    [(1000, 0.1, -0.1146), (1000, 1, -1.1459), (6300, 0.5, -3.6097), (10000, 1, -11.4593)],
)
def test_spacing_losses(hertz: float, spacing: float, level: float) -> None:
    """54.575 dB a wavelength (from memory); levels by arithmetic."""
    assert replay.spacing(spacing, hertz, 4.7625)[0] == pytest.approx(level, abs=5e-4)


@pytest.mark.parametrize(
    ("arcmin", "level"), [(1, -0.019), (5, -0.49), (7.14, -1.0), (12.07, -3.0), (20, -9.81)]
)
def test_azimuth_losses(arcmin: float, level: float) -> None:
    """0.6 mm track, 10 kHz, compact cassette: by the standard derivation, from memory."""
    assert replay.azimuth(arcmin, 10000, 4.7625, 0.6, 0.9)[0] == pytest.approx(level, abs=6e-3)


def test_phase_between_channels() -> None:
    """0.9 mm apart, one minute of arc: 12.47 degrees at 6.3 kHz, 5.50 µs; by arithmetic."""
    _, phase, delay = replay.azimuth(1, 6300, 4.7625, 0.6, 0.9)
    assert phase == pytest.approx(12.47, abs=6e-3)
    assert delay == pytest.approx(5.50, abs=6e-3)
