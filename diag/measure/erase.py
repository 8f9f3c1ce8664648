"""Erase depth: how far a tone that was erased is down."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.errors import MeasureError
from diag.measure.level import FULL_SINE_DB
from diag.measure.power_spectrum import power_spectrum
from diag.measure.result import Figure, Measurement
from diag.measure.scatter import DB_OF_A_SHARE, batch_means, half_width
from diag.measure.segments import segments
from diag.measure.sound import Array, Sound
from diag.measure.survey import named, refuse_unfit, survey

LEAST_SECONDS = 5.0
"""Of the tone, and of what is left of it."""
WINDOW_S = 0.5
TONES_HZ = (200.0, 12_000.0)
TONE_SHARE = 0.5
"""A tone holds so much of the power of the loud part."""
SWAY = 0.015
"""A tone off a tape sways by so much of its frequency with speed and flutter."""
LEAST_HALF_HZ = 5.0
LOUD_DB = -3.0
QUIET_DB = -8.0
"""A stretch of one capture counts as the tone, or as erased, by its level re the loudest."""
APART = 3
"""Windows beside a change of level that count as neither."""
STANDS_OUT = 2.0
UNEQUAL_DB = 10.0
NOTHING_DB = -120.0


@dataclass(frozen=True, slots=True, eq=False)
class TonePower:
    """Mean squares in windows that overlap by half, each of shape (windows, channels).

    Attributes:
        whole: in the band of the tone.
        above: the same less the hiss, told from beside the band.
    """

    whole: Array
    above: Array


def measure_erase(
    sound: Sound,
    *,
    reference: Sound | None = None,
    reference_dbfs: float | None = None,
    nominal_hz: float | None = None,
    where: str = "",
) -> Measurement:
    """How far the rest of a tone lies below the tone, in the channel that is erased worse.

    The rest is what the band of the tone holds more than the bands beside it. The uncertainty is
    that of both means by the scatter of up to 20 stretches. Where nothing is left that stands
    out, the figure is a limit and its key says so.

    Args:
        sound: a tone recorded, with 5 s or more of it erased; or the erased part alone, if the
            tone is given by one of the next.
        reference: a capture of the tone before it was erased, at the same setting of the recorder.
        reference_dbfs: or its level, in dB re a sine that fills the scale, with `nominal_hz`.
        nominal_hz: the frequency of the tone; found if there is a capture of it.
        where: file or event that an error names.

    Raises:
        MeasureError: a part is too short, silent or clipped, no tone stands out in the loud one,
            or nothing of the sound is erased.
    """
    refuse_unfit(survey(sound), least_seconds=LEAST_SECONDS, silent_db=NOTHING_DB, where=where)
    if reference is not None:
        refuse_unfit(survey(reference), least_seconds=LEAST_SECONDS, where="the reference")
        if reference.channels != sound.channels:
            raise MeasureError(
                f"the reference has {reference.channels} channel(s), the sound {sound.channels}.",
                where=where,
                do="Record both alike.",
            )
        hz = _tone_hz(reference, nominal_hz, "the reference")
        loud, rest = _tone_power(reference, hz).whole, _tone_power(sound, hz).above
    elif reference_dbfs is not None and nominal_hz is not None:
        hz = nominal_hz
        rest = _tone_power(sound, hz).above
        loud = np.full_like(rest, 10 ** ((reference_dbfs - FULL_SINE_DB) / 10))
    elif reference_dbfs is not None:
        raise MeasureError(
            "a level alone doesn't say which tone was erased.", where=where, do="Give its Hz too."
        )
    else:
        hz = _tone_hz(sound, nominal_hz, where)
        power = _tone_power(sound, hz)
        loud, rest = _parts(power, where)
    return _told(hz, loud, rest)


def _tone_hz(sound: Sound, nominal_hz: float | None, where: str) -> float:
    """The tone of the louder channel of the loud part.

    Silence beside it takes nothing off its share of the power, hiss hardly any.
    """
    spectrum = power_spectrum(sound)
    channel = int(np.argmax(spectrum.power.sum(axis=0)))
    low, high = TONES_HZ
    if nominal_hz is not None:
        low, high = 0.9 * nominal_hz, 1.1 * nominal_hz
    hz = spectrum.strongest_hz(channel, low, high)
    if spectrum.around(hz)[channel] < TONE_SHARE * spectrum.power[:, channel].sum():
        raise MeasureError(
            "no steady tone stands out in it.",
            where=where,
            do="Record a loud tone of 1 kHz, wind back, and record silence over half of it.",
        )
    return hz


def _tone_power(sound: Sound, hz: float) -> TonePower:
    length = round(WINDOW_S * sound.rate_hz)
    taper = np.hanning(length + 1)[:-1, None]
    away = np.abs(np.fft.rfftfreq(length, 1 / sound.rate_hz) - hz)
    half = max(SWAY * hz, LEAST_HALF_HZ)
    inside = away <= half
    beside = (away > half) & (away <= 3 * half)
    scale = 2 / (length * float((taper**2).sum()))
    whole, above = [], []
    for piece in segments(sound, length, length // 2):
        power = np.abs(np.fft.rfft((piece - piece.mean(axis=0)) * taper, axis=0)) ** 2 * scale
        band = power[inside].sum(axis=0)
        whole.append(band)
        above.append(band - power[beside].mean(axis=0) * inside.sum())
    return TonePower(np.array(whole), np.array(above))


def _parts(power: TonePower, where: str) -> tuple[Array, Array]:
    """The tone and what is left of it, out of one capture."""
    together = power.whole.sum(axis=1)
    loudest = np.quantile(together, 0.95)
    loud = _steady(together > loudest * 10 ** (LOUD_DB / 10))
    quiet = _steady(together < loudest * 10 ** (QUIET_DB / 10))
    least = round(LEAST_SECONDS / WINDOW_S)
    if quiet.sum() < least or loud.sum() < least:
        raise MeasureError(
            f"it holds {loud.sum() * WINDOW_S / 2:.0f} s of the tone and "
            f"{quiet.sum() * WINDOW_S / 2:.0f} s at least {-QUIET_DB:.0f} dB below it; "
            f"{LEAST_SECONDS:g} s of each are needed.",
            where=where,
            do="If all of the tone is still there, the deck doesn't erase. Else record both parts "
            "longer, or give the tone as a capture of its own.",
        )
    return power.whole[loud], power.above[quiet]


def _steady(inside: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Windows that are inside as are all their neighbours."""
    padded = np.pad(inside, APART, mode="edge")
    views = np.lib.stride_tricks.sliding_window_view(padded, 2 * APART + 1)
    return np.asarray(views.all(axis=1))


def _told(hz: float, loud: Array, rest: Array) -> Measurement:
    loud_batches, rest_batches = batch_means(loud), batch_means(rest)
    tone, tone_wide = loud_batches.mean(axis=0), half_width(loud_batches)
    left, left_wide = rest_batches.mean(axis=0), half_width(rest_batches)
    ratio = np.maximum(left, left_wide) / tone
    channel, channels = int(np.argmax(ratio)), len(ratio)
    remarks = []
    if channels > 1 and 10 * np.log10(ratio.max() / ratio.min()) > UNEQUAL_DB:
        remarks.append(
            f"{named(channel, channels).capitalize()} is erased much worse than the other: "
            "look for dirt on the erase head, and at its height."
        )
    says = f"Erase depth at {hz:.0f} Hz, {named(channel, channels)}"
    if left[channel] > STANDS_OUT * left_wide[channel]:
        share = left_wide[channel] / left[channel], tone_wide[channel] / tone[channel]
        figure = Figure(
            key="erase_depth_db",
            says=says,
            value=float(-10 * np.log10(left[channel] / tone[channel])),
            uncertainty=float(DB_OF_A_SHARE * np.hypot(*share)),
            unit="dB",
        )
    else:
        limit = max(float(left[channel]), 0.0) + float(left_wide[channel])
        figure = Figure(
            key="erase_depth_at_least_db",
            says=f"{says}, at least",
            value=float(-10 * np.log10(limit / tone[channel])),
            uncertainty=0.0,
            unit="dB",
        )
        remarks.append("Nothing of the tone stands out of the hiss.")
    return Measurement(
        what="erase", figures=(figure,), remarks=tuple(remarks), source="common_practice"
    )
