"""Speed of the tape from a test tone: how far off, and how much it drifts."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import log2

import numpy as np
from numpy.typing import NDArray

from diag.errors import MeasureError
from diag.measure.demodulate import SpeedSeries, speed_series
from diag.measure.long_run import long_run
from diag.measure.result import Curve, Figure, Measurement
from diag.measure.sound import Sound, seconds
from diag.measure.survey import refuse_unfit, survey
from diag.measure.tone import Tone, find_tone

LEAST_SECONDS = 5.0
MOST_GAPS = 1 / 3
RUNS_OFF = 0.08
"""Share of the speed by which no deck sways; at either end it is starting or stopping there."""
COMING_UP_SECONDS = 0.5
"""Left out besides where it was, until the speed stands."""
SOME = 1 << 20
"""Values of which the usual speed is looked up; an hour has more than it takes."""
LEADER_SECONDS = 0.1
"""A shorter gap at an end isn't worth a word."""
POINTS = 300
OTHERWISE_KEY = "speed_error_otherwise_percent"
CLOCK = (
    "The sound card's own clock may be off by 0.01 % and a test tape by some 0.1 % (common "
    "practice); neither is part of the uncertainty."
)


@dataclass(frozen=True, slots=True)
class Followed:
    """A test tone and the speed that it tells, relative to `tone.hz`.

    Attributes:
        tone: as it was found.
        series: from where the tone begins to where it ends.
        begins_seconds: how long the sound lasts before that.
        whole_seconds: how long it is in all.
    """

    tone: Tone
    series: SpeedSeries
    begins_seconds: float
    whole_seconds: float

    @property
    def remarks(self) -> tuple[str, ...]:
        """What to say of the tone, of where it plays and of the places where it failed."""
        return (*self.tone.remarks, *self._where(), *gap_remarks(self.series))

    def _where(self) -> tuple[str, ...]:
        begins, ends = self.begins_seconds, self.begins_seconds + self.series.seconds
        if begins < LEADER_SECONDS and self.whole_seconds - ends < LEADER_SECONDS:
            return ()
        return (
            f"The tone plays from {begins:.1f} to {ends:.1f} s of {self.whole_seconds:.1f} s; what "
            "lies outside, and where the deck starts or stops, is left out.",
        )


def follow(sound: Sound, nominal_hz: float | None, least_seconds: float) -> Followed:
    """Find the tone of a sound, in the channel where it is stronger, and follow it.

    What comes before the tone and after it, as leader tape does, is left out.

    Raises:
        MeasureError: the sound can't be measured, holds no tone of a test tape, or holds it for
            too short a time or, between its beginning and its end, for less than two thirds.
    """
    refuse_unfit(survey(sound), least_seconds=least_seconds)
    tone = find_tone(sound, nominal_hz)
    whole = speed_series(sound, tone.hz, tone.channel)
    first, last = _played(whole)
    series = replace(whole, values=whole.values[first:last], gaps=whole.gaps[first:last])
    failed = float(series.gaps.mean()) if last > first else 1.0
    if failed > MOST_GAPS:
        raise MeasureError(
            f"the tone of {tone.hz:.0f} Hz fails for {failed:.0%} of {series.seconds:.0f} s.",
            do="Cut the capture to where the tone plays; if it comes and goes all the time, see to "
            "the dropouts first.",
        )
    # The filters take some hundredths of a second off a sound that is just long enough.
    if series.seconds < whole.seconds - LEADER_SECONDS and series.seconds < least_seconds:
        raise MeasureError(
            f"the tone of {tone.hz:.0f} Hz plays steadily for {series.seconds:.1f} s only; "
            f"{least_seconds:g} s are needed.",
            do="Record more of the test tape, begun when the tape runs.",
        )
    return Followed(tone, series, first / series.rate_hz, seconds(sound))


def _played(series: SpeedSeries) -> tuple[int, int]:
    """First value of a series that counts, and the one after the last."""
    told = ~series.gaps
    if not told.any():
        return 0, 0
    thin = slice(None, None, 1 + len(told) // SOME)
    usual = float(np.median(series.values[thin][told[thin]])) if told[thin].any() else 0.0
    steady = told & (series.values > usual - RUNS_OFF) & (series.values < usual + RUNS_OFF)
    (first, last), (begin, end) = _ends(steady), _ends(told)
    margin = round(COMING_UP_SECONDS * series.rate_hz)
    if first > begin:
        first += margin
    if last < end:
        last -= margin
    return first, max(first, last)


def _ends(marks: NDArray[np.bool_]) -> tuple[int, int]:
    """The first of some marks that is true, and the one after the last; nothing if none is."""
    if not marks.any():
        return 0, 0
    return int(marks.argmax()), len(marks) - int(marks[::-1].argmax())


def measure_speed(sound: Sound, nominal_hz: float | None = None) -> Measurement:
    """Speed error and drift from a capture of a test tone, 5 s or longer.

    The error is the mean of the capture against the nominal frequency. The drift is the change from
    beginning to end of the straight line of least squares; JIS C 5569 calls drift the speed
    change that is slower than wow. The uncertainty comes from the scatter of the slowest swings in
    the capture (`long_run`), so that it tells how far another capture of the same deck may differ.

    Where another tone may well be on the tape, the error that this would mean is the figure
    `OTHERWISE_KEY`, and `likely` has the chances of the tones in `tones_hz`.

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
            *_otherwise(tone, ratio * tone.nominal_hz, uncertainty * tone.nominal_hz),
        ),
        curves=(_course(series, scale),),
        remarks=(*followed.remarks, CLOCK),
        source="jis_c_5569",
        likely=tuple((f"a tone of {hz:g} Hz on the tape", p) for hz, p in _doubted(tone)),
        tones_hz=tuple(hz for hz, _ in _doubted(tone)),
    )


def _otherwise(tone: Tone, hz: float, within_hz: float) -> tuple[Figure, ...]:
    """The speed error if the tape holds the other tone; nothing if that is in no doubt."""
    if tone.otherwise_hz is None:
        return ()
    figure = Figure(
        key=OTHERWISE_KEY,
        says=f"speed error if the tape holds {tone.otherwise_hz:g} Hz",
        value=(hz / tone.otherwise_hz - 1) * 100,
        uncertainty=within_hz / tone.otherwise_hz * 100,
        unit="%",
    )
    return (figure,)


def _doubted(tone: Tone) -> tuple[tuple[float, float], ...]:
    """The tones that it may be, if there is a doubt."""
    return tone.likely if tone.otherwise_hz is not None else ()


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
