"""The first look at a sound, and what it refuses."""

from __future__ import annotations

import numpy as np
import pytest

from diag.errors import MeasureError
from diag.measure.sound import Array, Samples
from diag.measure.survey import (
    Survey,
    decibels,
    refuse_dead_channel,
    refuse_unfit,
    survey,
)

RATE_HZ = 48_000


def _sine(peak: float, *, hz: float = 1000.0, seconds: float = 1.0) -> Array:
    at = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    values: Array = peak * np.sin(2 * np.pi * hz * at)
    return values


def _look(*channels: Array) -> Survey:
    return survey(Samples(np.column_stack(channels), RATE_HZ))


def test_levels_of_sines() -> None:
    """A sine of half full scale is 9.03 dB below it as a root mean square (arithmetic)."""
    found = _look(_sine(0.5), _sine(0.05) + 0.2)
    assert found.seconds == 1
    assert found.rms_db(0) == pytest.approx(-9.031, abs=1e-3)
    assert found.rms_db(1) == pytest.approx(-29.031, abs=1e-3)
    assert found.peak == pytest.approx((0.5, 0.25), abs=1e-4)
    assert found.clipped == (0, 0)


def test_an_offset_is_no_sound() -> None:
    """A card's offset does not count as level, however large."""
    assert _look(np.full(RATE_HZ, 0.3)).rms_db(0) < -100


def test_blocks_add_up() -> None:
    """More than one block gives the same as one."""
    once = _look(_sine(0.5, seconds=4))
    found = _look(_sine(0.5, seconds=20))
    assert found.rms == pytest.approx(once.rms)
    assert found.seconds == 20


def test_decibels() -> None:
    """Ten times is 20 dB; nothing is minus infinity."""
    assert decibels(10) == pytest.approx(20)
    assert decibels(0) == -np.inf


@pytest.mark.parametrize("over", [1.5, 3.0])
def test_clipping_is_refused(over: float) -> None:
    """Tops cut off stand at the limit for several samples."""
    clean, clipped = _sine(0.9), np.clip(_sine(over), -1, 1)
    with pytest.raises(MeasureError, match=r"the right channel is clipped \(.*at the limit") as no:
        refuse_unfit(_look(clean, clipped), least_seconds=1)
    assert "10 dB lower" in no.value.do


def test_touching_the_limit_is_no_clipping() -> None:
    """A tone just at full scale has no flat tops, nor has a single click."""
    whole = _sine(0.998)
    whole[1000] = 1.0
    refuse_unfit(_look(whole), least_seconds=1)


@pytest.mark.parametrize("peak", [0.0, 1e-5])
def test_silence_is_refused(peak: float) -> None:
    """Nothing, or the card's own noise."""
    with pytest.raises(MeasureError, match="it is silent"):
        refuse_unfit(_look(_sine(peak), _sine(peak)), least_seconds=1)


def test_one_live_channel_will_do_where_one_is_enough() -> None:
    """A mono tape is no reason to refuse."""
    refuse_unfit(_look(_sine(0.3), _sine(0)), least_seconds=1)


@pytest.mark.parametrize("frames", [0, 1, 2, 100])
def test_too_short_is_refused(frames: int) -> None:
    """Down to nothing at all."""
    found = survey(Samples(np.full((frames, 2), 0.5), RATE_HZ))
    with pytest.raises(MeasureError, match=r"0\.0 s long; 5 s are needed"):
        refuse_unfit(found, least_seconds=5)


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf])
def test_no_numbers_are_refused(value: float) -> None:
    """Samples in memory are looked at, too."""
    values = _sine(0.3)
    values[77] = value
    with pytest.raises(MeasureError, match="no numbers"):
        _look(values)


def test_dead_channel_is_refused() -> None:
    """Which one, and by how much."""
    with pytest.raises(MeasureError, match="the left channel is dead") as no:
        refuse_dead_channel(_look(_sine(0.0), _sine(0.3)))
    assert "leads" in no.value.do
    with pytest.raises(MeasureError, match=r"right channel is dead \(-64 dB .* the other -13"):
        refuse_dead_channel(_look(_sine(0.3), _sine(0.0009)))
    refuse_dead_channel(_look(_sine(0.3), _sine(0.01)))


def test_mono_is_refused_where_two_are_needed() -> None:
    """It asks for stereo."""
    with pytest.raises(MeasureError, match="one channel; two are needed"):
        refuse_dead_channel(_look(_sine(0.3)))


def test_where_is_told() -> None:
    """The name of the file goes into the message."""
    with pytest.raises(MeasureError, match=r"^tape\.wav: it is silent"):
        refuse_unfit(_look(_sine(0)), least_seconds=0.5, where="tape.wav")
