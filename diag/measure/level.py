"""Level of each channel, balance of the two, and separation if only one holds a tone."""

from __future__ import annotations

import numpy as np

from diag.errors import MeasureError
from diag.measure.by_channel import SIDES, Values, figures
from diag.measure.power_spectrum import PowerSpectrum, power_spectrum
from diag.measure.result import Figure, Measurement
from diag.measure.scatter import DB_OF_A_SHARE, batch_means, half_width, power_db
from diag.measure.segments import segments
from diag.measure.sound import Array, Sound
from diag.measure.survey import refuse_unfit, survey

FULL_SINE_DB = 10 * np.log10(2)
"""A sine that just fills the scale is 0 dB re full scale; its mean square is a half."""
LEAST_SECONDS = 3.0
SEGMENT_S = 0.1
USUAL = 0.75
"""The usual power is exceeded in the rest of the segments, so that the sound may come late."""
QUIET = 0.1
"""Share of the usual power below which a segment at an end is leader tape or the like."""
PLAYS = 0.8
"""Share of the usual power from which a tone plays all through a window."""
ONE_SIDED_DB = 10.0
"""From here on the tone is taken to be in one channel only; balance is never as bad in a deck
that works."""
SEPARATION_WINDOW_S = 0.25
"""Windows don't overlap: shares of neighbours would be alike, and their scatter too small."""
TONE_HZ = (200.0, 12_000.0)
TONE_SHARE = 0.5
"""A tone holds at least so much of the power of its channel."""


def measure_level(sound: Sound, *, where: str = "") -> Measurement:
    """Levels, balance and separation.

    The level is the root mean square without what is constant; a sine that fills the scale is
    0 dB. Balance is left over right. Separation is how far a tone in one channel is down in the
    other, told from hiss and hum by its keeping step with the first.

    The uncertainty is that of the mean by the scatter of up to 20 stretches.

    Args:
        sound: the level tone of a test tape, or anything steady; 3 s at least.
        where: file or event that an error names.

    Raises:
        MeasureError: it is too short, silent or clipped.
    """
    refuse_unfit(survey(sound), least_seconds=LEAST_SECONDS, where=where)
    powers = segment_powers(sound)
    levels = levels_dbfs(powers)
    told = list(figures("level_dbfs", "Level re full scale", levels, "dB"))
    remarks: list[str] = []
    if sound.channels == 2:
        if np.ptp(levels.value) < ONE_SIDED_DB:
            told.append(_balance(powers))
        else:
            separation, remarks = _separation(sound, int(np.argmax(levels.value)))
            told += separation
    return Measurement(
        what="level", figures=tuple(told), remarks=tuple(remarks), source="common_practice"
    )


def reference_levels(
    sound: Sound, reference: Sound | None, reference_dbfs: float | None
) -> Values | None:
    """What levels are told against: those of a capture, or a figure that holds for each channel.

    Raises:
        MeasureError: the capture is unfit, or its channels are not those of the sound.
    """
    if reference is not None:
        refuse_unfit(survey(reference), least_seconds=LEAST_SECONDS, where="the reference")
        if reference.channels != sound.channels:
            raise MeasureError(
                f"the reference has {reference.channels} channel(s), "
                f"the sound itself {sound.channels}.",
                do="Record both alike.",
            )
        return levels_dbfs(segment_powers(reference))
    if reference_dbfs is not None:
        flat = np.full(sound.channels, float(reference_dbfs))
        return Values(flat, np.zeros_like(flat))
    return None


def segment_powers(sound: Sound) -> Array:
    """Mean squares without what is constant, of shape (segments of 0.1 s, channels).

    What is quiet before the sound begins and after it ends, as leader tape is, is left out, with
    one segment more into which the edge may reach.

    Raises:
        MeasureError: the sound lasts for less than three seconds.
    """
    length = round(SEGMENT_S * sound.rate_hz)
    powers = np.array([piece.var(axis=0) for piece in segments(sound, length)])
    both = powers.sum(axis=1)
    loud = np.flatnonzero(both >= QUIET * np.quantile(both, USUAL))
    first, last = int(loud[0]), int(loud[-1]) + 1
    if first:
        first += 1
    if last < len(powers):
        last -= 1
    if last - first < min(len(powers), round(LEAST_SECONDS / SEGMENT_S)):
        raise MeasureError(
            f"it is loud for {max(last - first, 0) * SEGMENT_S:.1f} s only; "
            f"{LEAST_SECONDS:g} s are needed.",
            do="Record more of the test tape.",
        )
    return powers[first:last]


def levels_dbfs(powers: Array) -> Values:
    """Levels of mean squares re a sine that fills the scale.

    Raises:
        MeasureError: a channel is nothing but noughts.
    """
    if not powers.mean(axis=0).all():
        raise MeasureError(
            "a channel holds nothing at all.",
            do="Record both channels, or give only the one that holds the signal.",
        )
    level, uncertainty = power_db(powers)
    return Values(level + FULL_SINE_DB, uncertainty)


def _balance(powers: Array) -> Figure:
    """By stretches, so that what wanders alike in both channels cancels."""
    batches = batch_means(powers)
    differences = 10 * np.log10(batches[:, 0] / batches[:, 1])
    return Figure(
        key="balance_db",
        says="Balance, left over right",
        value=float(differences.mean()),
        uncertainty=float(half_width(differences)),
        unit="dB",
    )


def _separation(sound: Sound, driven: int) -> tuple[list[Figure], list[str]]:
    side, other = SIDES[driven][1], SIDES[1 - driven][1]
    weak = (
        f"Only the {side} holds much. If the tape has the tone on both tracks, "
        f"the {other} is weak or dead."
    )
    tone_hz = tone_of(power_spectrum(sound), driven)
    if tone_hz is None:
        return [], [weak, "Separation wasn't told: no steady tone stands out."]
    ratio, wide = _shared(sound, driven, tone_hz)
    if ratio <= 2 * wide:
        figure = Figure(
            key="separation_at_least_db",
            says=f"Separation at {tone_hz:.0f} Hz from the {side} into the other, at least",
            value=float(-20 * np.log10(ratio + wide)),
            uncertainty=0.0,
            unit="dB",
        )
        return [figure], [weak, f"No tone was found in the {other}."]
    figure = Figure(
        key="separation_db",
        says=f"Separation at {tone_hz:.0f} Hz from the {side} into the other",
        value=float(-20 * np.log10(ratio)),
        uncertainty=float(2 * DB_OF_A_SHARE * wide / ratio),
        unit="dB",
    )
    return [figure], [weak]


def tone_of(spectrum: PowerSpectrum, channel: int) -> float | None:
    """Frequency in Hz of the tone that makes up a channel, or none."""
    hz = spectrum.strongest_hz(channel, *TONE_HZ)
    total = spectrum.power[:, channel].sum()
    return hz if spectrum.around(hz)[channel] > TONE_SHARE * total else None


def _shared(sound: Sound, driven: int, tone_hz: float) -> tuple[float, float]:
    """Size of what the other channel has of the tone, as a share, and its uncertainty.

    Cross over own power in the band of the tone: hiss of the other channel has no fixed phase to
    the tone and averages out, and flutter is the same in both.
    """
    length = round(SEPARATION_WINDOW_S * sound.rate_hz)
    taper = np.hanning(length + 1)[:-1, None]
    hz = np.fft.rfftfreq(length, 1 / sound.rate_hz)
    inside = np.abs(hz - tone_hz) < max(0.03 * tone_hz, 10.0)
    shares, powers = [], []
    for piece in segments(sound, length):
        bins = np.fft.rfft(piece * taper, axis=0)[inside]
        own, other = bins[:, driven], bins[:, 1 - driven]
        powers.append(float((np.abs(own) ** 2).sum()))
        share = (own.conj() * other).sum() / (powers[-1] or 1.0)
        shares.append((share.real, share.imag))
    plays = np.array(powers) >= PLAYS * np.quantile(powers, USUAL)
    batches = batch_means(np.array(shares)[plays])
    mean = batches.mean(axis=0)
    size = float(np.hypot(*mean))
    # Along the mean's own direction; what scatters across it changes the size but little.
    along = batches @ (mean / size) if size else batches[:, 0]
    return size, float(half_width(along))
