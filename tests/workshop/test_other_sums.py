"""Speed, capacitors, torque and level: round trips, and what must grow with what."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.errors import BenchtrailError
from diag.workshop import belt_load, capacitors, esr, forces, levels, mains, reels, replay, speed

more_than_one = st.floats(1.01, 3)


@given(st.floats(-80, 500))
def test_percent_and_cents_go_round(error: float) -> None:
    """Cents and back are the same error, and their signs agree."""
    (cents,) = speed.cents(error)
    assert speed.percent(cents)[0] == pytest.approx(error, rel=1e-9, abs=1e-9)
    assert cents * error >= 0


@given(st.floats(16, 400), st.floats(16, 400), st.floats(2, 100), st.floats(0, 2))
def test_pulley_mends_the_mains_error(
    built: float, local: float, pulley: float, belt: float
) -> None:
    """The pulley that the sum gives, at the local frequency, runs at the old speed."""
    (needed,) = mains.pulley(pulley, built, local, belt)
    assert (needed + belt) * local == pytest.approx((pulley + belt) * built)
    there, back = mains.mismatch(built, local), mains.mismatch(local, built)
    assert there[1] == pytest.approx(-back[1], abs=1e-9)


@given(st.floats(0.5, 100), st.floats(1, 10000))
def test_capstan_and_turning_agree(diameter: float, rpm: float) -> None:
    """The speed of a capstan turns a roller of its size as fast as it turns itself."""
    assert reels.turning(diameter, speed.capstan(diameter, rpm, 0)[0])[1] == pytest.approx(rpm)


@given(st.floats(5, 100), st.floats(5, 50), st.floats(0.1, 500), more_than_one)
def test_pack_grows_and_slows(hub: float, tape: float, minutes: float, more: float) -> None:
    """A pack grows with time, never below its hub, and its hub slows."""
    _, before, turns_before = reels.pack(hub, tape, minutes, 4.7625)
    _, after, turns_after = reels.pack(hub, tape, minutes * more, 4.7625)
    assert hub < before < after
    assert turns_before > turns_after


@given(st.floats(20, 79), st.floats(0.1, 10), st.floats(0.1, 15), st.floats(1.01, 1.2))
def test_pull_grows(hardness: float, side: float, stretch: float, more: float) -> None:
    """A harder, thicker or more stretched belt pulls more; twice as much on the shaft."""
    _, pull, _, bearing = belt_load.load(hardness, side, side, stretch)
    assert bearing == pytest.approx(2 * pull)
    assert belt_load.load(hardness + 1, side, side, stretch)[1] > pull
    assert belt_load.load(hardness, side * more, side, stretch)[1] > pull
    assert belt_load.load(hardness, side, side, stretch * more)[1] > pull
    assert belt_load.drag(pull * more, 2, 0.1) > belt_load.drag(pull, 2, 0.1)


@given(st.floats(1, 20), st.floats(21, 200), st.floats(0, 2), st.floats(0.01, 2))
def test_thicker_belt_runs_a_reducing_drive_faster(
    motor: float, flywheel: float, old: float, more: float
) -> None:
    """The small pulley gains more of its size than the large one."""
    assert belt_load.thickness(motor, flywheel, old, old + more)[0] > 0
    assert belt_load.thickness(flywheel, motor, old, old + more)[0] < 0
    assert belt_load.thickness(motor, flywheel, old, old)[0] == 0


@given(st.floats(1e-9, 1e9), st.sampled_from([3, 6, 12, 24]))
def test_preferred_values_lie_round_the_wanted(value: float, series: int) -> None:
    """Below is not above, above is not below, and nearest is one of them, within half a step."""
    nearest, below, above, error = capacitors.preferred(value, series)
    assert below <= value * (1 + 1e-9)
    assert above >= value * (1 - 1e-9)
    assert nearest in (below, above)
    # Steps of E3 are 2.2 at most (10 to 22), so nearest is within its root.
    assert abs(error) < 50


@given(st.floats(1000, 10000), st.floats(85, 105), st.floats(20, 80), st.floats(1, 20))
def test_cooler_lives_longer(rated: float, hottest: float, inside: float, less: float) -> None:
    """Never shorter when cooler."""
    cooler = capacitors.life(rated, hottest, inside - less)[0]
    assert cooler > capacitors.life(rated, hottest, inside)[0]


@given(st.floats(1, 5000), st.floats(10, 10000), more_than_one)
def test_ripple_falls_with_capacitance(current: float, capacitance: float, more: float) -> None:
    """Half wave is twice full wave; more capacitance, less ripple."""
    full = capacitors.ripple(current, capacitance, 50, 2)[0]
    assert capacitors.ripple(current, capacitance, 50, 1)[0] == pytest.approx(2 * full)
    assert capacitors.ripple(current, capacitance * more, 50, 2)[0] < full
    assert capacitors.ripple(current * more, capacitance, 50, 2)[0] > full


@given(st.floats(10, 10000), st.floats(10, 250), more_than_one)
def test_usual_series_resistance_falls(capacitance: float, volts: float, more: float) -> None:
    """The usual figure never rises with capacitance, nor with voltage."""
    usual = esr.limits(capacitance, volts)[0]
    assert esr.limits(min(capacitance * more, 10000), volts)[0] <= usual * (1 + 1e-9)
    assert esr.limits(capacitance, min(volts * more, 250))[0] <= usual * (1 + 1e-9)


def test_gap_in_a_table_is_told() -> None:
    """A figure that a source lacks is not made up."""
    # The usual table prints only 'over 40' at 4.7 µF 10 V, the other nothing.
    with pytest.raises(BenchtrailError, match="no table has a figure"):
        esr.limits(4.7, 10)
    assert esr.limits(2.2, 63) == (esr.NO_FIGURE, pytest.approx(10), pytest.approx(20))
    assert esr.limits(10000, 250) == (pytest.approx(0.01), esr.NO_FIGURE, pytest.approx(0.02))


@given(st.floats(0.001, 1000), st.floats(5, 400))
def test_torque_and_tension_go_round(torque: float, diameter: float) -> None:
    """Tension of a torque, and the torque of that tension."""
    assert forces.hub_torque(forces.tension(torque, diameter)[0], diameter)[0] == pytest.approx(
        torque
    )


@given(st.floats(0.01, 2), st.floats(1, 720), st.floats(1, 720))
def test_wraps_multiply(friction: float, first: float, second: float) -> None:
    """Two wraps in line grip as one of both angles, and more than either."""
    one, two = forces.wrap(friction, first)[0], forces.wrap(friction, second)[0]
    both = forces.wrap(friction, first + second)[0]
    assert both == pytest.approx(one * two)
    assert both > max(one, two)


@pytest.mark.parametrize(("force", "says"), [(294, "weak"), (295, "right"), (366, "strong")])
def test_pinch_force_is_judged(force: float, says: str) -> None:
    """At the limits of a published manual, 295 to 365 gf."""
    assert forces.pinch(force, 295, 365)[0] == says
    with pytest.raises(BenchtrailError, match="low is not below high"):
        forces.pinch(force, 365, 295)


@given(st.floats(-150, 150))
def test_levels_go_round(level: float) -> None:
    """A ratio of a level, and the level of that ratio."""
    voltage, power = levels.ratio(level)
    assert levels.decibels(voltage, 1)[0] == pytest.approx(level, abs=1e-9)
    assert levels.decibels(power, 1)[1] == pytest.approx(level, abs=1e-9)


@given(st.floats(100, 9000), st.floats(0.1, 2), st.floats(1.05, 2))
def test_losses_grow_with_frequency(hertz: float, micron: float, more: float) -> None:
    """Gap, spacing and azimuth cost more at a shorter wavelength."""
    assert replay.spacing(micron, hertz * more, 4.7625) < replay.spacing(micron, hertz, 4.7625)
    assert replay.gap(micron, hertz * more, 4.7625, 1)[0] < replay.gap(micron, hertz, 4.7625, 1)[0]
    before, after = (replay.azimuth(micron, f, 4.7625, 0.6, 0.9) for f in (hertz, hertz * more))
    assert after[0] < before[0]
    assert after[1] > before[1]


def test_null_is_no_level() -> None:
    """At the first null and past it there is no level to tell."""
    _, null = replay.gap(1.4, 1000, 4.7625, 1.11)
    with pytest.raises(BenchtrailError, match="first null"):
        replay.gap(1.4, null * 1.0001, 4.7625, 1.11)
