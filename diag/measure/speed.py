"""Speed of the tape from a test tone: how far off, and how much it drifts."""

from __future__ import annotations

from dataclasses import dataclass
from math import log2

import numpy as np

from diag.errors import MeasureError
from diag.measure.demodulate import SpeedSeries, speed_series
from diag.measure.long_run import long_run
from diag.measure.result import Curve, Figure, Measurement
from diag.measure.sound import Sound, seconds
from diag.measure.survey import refuse_unfit, survey
from diag.measure.tone import Tone, find_tone

LEAST_SECONDS = 5.0
MOST_GAPS = 1 / 3
POINTS = 300
CLOCK = (
    "The sound card's own clock may be off by 0.01 % and a test tape by some 0.1 % (common "
    "practice); neither is part of the uncertainty."
)


@dataclass(frozen=True, slots=True)
class Followed:
    """A test tone and the speed that it tells, relative to `tone.hz`."""

    tone: Tone
    series: SpeedSeries


def follow(sound: Sound, nominal_hz: float | None, least_seconds: float) -> Followed:
    """Find the tone of a sound, in the channel where it is stronger, and follow it.

    Raises:
        MeasureError: the sound can't be measured, holds no tone of a test tape, or holds it for
            less than two thirds of the time.
    """
    refuse_unfit(survey(sound), least_seconds=least_seconds)
    tone = find_tone(sound, nominal_hz)
    series = speed_series(sound, tone.hz, tone.channel)
    failed = float(series.gaps.mean())
    if failed > MOST_GAPS:
        raise MeasureError(
            f"the tone of {tone.hz:.0f} Hz fails for {failed:.0%} of {seconds(sound):.0f} s.",
            do="Cut the capture to where the tone plays; if it comes and goes all the time, see to "
            "the dropouts first.",
        )
    return Followed(tone, series)


def measure_speed(sound: Sound, nominal_hz: float | None = None) -> Measurement:
    """Speed error and drift from a capture of a test tone, 5 s or longer.

    The error is the mean of the capture against the nominal frequency. The drift is the change from
    beginning to end of the straight line of least squares; JIS C 5569 calls drift the speed
    change that is slower than wow. The uncertainty comes from the scatter of the slowest swings in
    the capture (`long_run`), so that it tells how far another capture of the same deck may differ.

    Raises:
        MeasureError: as `follow` does.
    """
    followed = follow(sound, nominal_hz, LEAST_SECONDS)
    tone, series = followed.tone, followed.series
    scale = tone.hz / tone.nominal_hz
    found = long_run(series.values, straight=True)
    ratio = scale * (1 + found.mean)
    uncertainty = scale * found.mean_uncertainty
    return Measurement(
        what="speed",
        figures=(
            Figure(
                key="speed_error_percent",
                says="speed error",
                value=(ratio - 1) * 100,
                uncertainty=uncertainty * 100,
                unit="%",
            ),
            Figure(
                key="speed_error_cents",
                says="the same in cents",
                value=1200 * log2(ratio),
                uncertainty=1200 * log2(1 + uncertainty / ratio),
                unit="cents",
            ),
            Figure(
                key="drift_percent",
                says="drift from beginning to end",
                value=found.change * 100,
                uncertainty=found.change_uncertainty * 100,
                unit="%",
            ),
        ),
        curves=(_course(series, scale),),
        remarks=(*tone.remarks, *gap_remarks(series), CLOCK),
        source="jis_c_5569",
    )


def gap_remarks(series: SpeedSeries) -> tuple[str, ...]:
    """What to say of the places where the tone failed."""
    marks = np.concatenate([[False], series.gaps]).astype(np.int8)
    places = int((np.diff(marks) == 1).sum())
    if not places:
        return ()
    lost = series.gaps.mean() * series.seconds
    times = "once" if places == 1 else f"{places} times"
    return (
        f"The tone failed {times}, {lost:.2g} s in all (dropouts or splices); there the speed is "
        "bridged, and it counts for nothing in flutter.",
    )


def _course(series: SpeedSeries, scale: float) -> Curve:
    """Speed error over time, in means of equal stretches."""
    size = max(1, len(series.values) // POINTS)
    count = len(series.values) // size
    means = series.values[: count * size].reshape(count, size).mean(axis=1)
    return Curve(
        name="speed",
        says="speed error over time",
        x=tuple(((np.arange(count) + 0.5) * size / series.rate_hz).tolist()),
        y=tuple(((scale * (1 + means) - 1) * 100).tolist()),
        x_unit="s",
        y_unit="%",
    )
