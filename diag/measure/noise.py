"""Noise of a blank tape or of the electronics alone, weighted and not."""

from __future__ import annotations

import numpy as np

from diag.errors import MeasureError
from diag.measure import weighting_468, weighting_a
from diag.measure.by_channel import Values, level_figures
from diag.measure.level import FULL_SINE_DB, reference_levels, tone_of
from diag.measure.power_spectrum import PowerSpectrum, power_spectrum, third_octaves
from diag.measure.quasi_peak import SETTLING_S as METER_SETTLING_S
from diag.measure.quasi_peak import QuasiPeakMeter
from diag.measure.result import Curve, Figure, Measurement
from diag.measure.scatter import batch_means, power_db
from diag.measure.segments import segments
from diag.measure.sound import Array, Sound
from diag.measure.survey import Survey, named, refuse_unfit, survey
from diag.measure.weighting import HIGH_HZ, SETTLING_S, Weighting, audio_band

LEAST_SECONDS = 10.0
PIECE_S = 0.2
PIECES = 5
"""Pieces that are weighted at once."""
METER_BATCH_S = 1.5
"""A stretch of the meter's readings that is long against its fall."""
NOTHING_DB = -120.0
"""Below this no converter has noise: the recorder was muted."""
UNEQUAL_DB = 40.0
LOUDEST_DB = -20.0
TONE_DB = -45.0
"""A tone from here on is a signal, not the whine of a motor."""
CARD_DB = -85.0
UNSTEADY_DB = 1.5

KINDS = (
    ("noise_a_weighted", "A-weighted noise"),
    ("noise_468", "Noise weighted as in ITU-R BS.468"),
    ("noise_468_quasi_peak", "The same with its quasi-peak meter"),
    ("noise_unweighted", "Noise from 22 Hz to 22 kHz"),
)


def measure_noise(
    sound: Sound,
    *,
    reference: Sound | None = None,
    reference_dbfs: float | None = None,
    where: str = "",
) -> Measurement:
    """Noise by four definitions, re full scale and re a reference level.

    A-weighting is that of IEC 61672-1, the other that of ITU-R BS.468-4. The quasi-peak figure is
    the mean of the meter's reading. The uncertainty is that of the mean by the scatter of up to
    20 stretches; it doesn't hold the card's own noise, nor how true the weighting is (0.06 dB).

    Args:
        sound: a blank stretch of tape, or the deck with no tape; 10 s at least.
        reference: a capture of the reference level, at the same setting of the recorder.
        reference_dbfs: or that level itself, in dB re a sine that fills the scale.
        where: file or event that an error names.

    Raises:
        MeasureError: it is too short, clipped, empty, or holds a signal instead of noise.
    """
    found = survey(sound)
    _refuse_empty(found, where)
    refuse_unfit(found, least_seconds=LEAST_SECONDS, silent_db=NOTHING_DB, where=where)
    spectrum = power_spectrum(sound)
    _refuse_tone(spectrum, where)
    squares, readings = _gone_through(sound)
    levels = _levels(squares, readings)
    loudest = float(levels[0].value.max())
    if loudest > LOUDEST_DB:
        raise MeasureError(
            f"it is too loud for noise ({loudest:.0f} dB re full scale).",
            where=where,
            do="Play a blank stretch of tape.",
        )
    level = reference_levels(sound, reference, reference_dbfs)
    told: list[Figure] = []
    for (stem, says), values in zip(KINDS, levels, strict=True):
        told += level_figures(stem, says, values, level)
    return Measurement(
        what="noise",
        figures=tuple(told),
        curves=_curves(spectrum),
        remarks=tuple(_remarks(sound, squares[:, 0], loudest)),
        source="itu_r_bs_468",
    )


def _gone_through(sound: Sound) -> tuple[Array, Array]:
    """Mean squares of shape (pieces, weightings, channels), and readings (pieces, channels)."""
    responses = (weighting_a.response, weighting_468.response, audio_band)
    weigh = Weighting(responses, sound.rate_hz, sound.channels)
    meter = QuasiPeakMeter(sound.rate_hz, sound.channels)
    squares, readings = [], []
    length = round(PIECE_S * sound.rate_hz)
    for several in segments(sound, PIECES * length):
        weighted = weigh(several)
        for piece in np.split(weighted, PIECES, axis=1):
            squares.append(np.einsum("rfc,rfc->rc", piece, piece) / length)
            readings.append(meter(piece[1]).mean(axis=0))
    settled = round(SETTLING_S / PIECE_S)
    read = settled + round(METER_SETTLING_S / PIECE_S)
    return np.array(squares[settled:]), np.array(readings[read:])


def _levels(squares: Array, readings: Array) -> tuple[Values, ...]:
    """In the order of the kinds, re a sine that fills the scale."""
    level, uncertainty = power_db(squares)
    level += FULL_SINE_DB
    stretches = max(min(int(len(readings) * PIECE_S / METER_BATCH_S), 20), 2)
    # Readings are amplitudes: a share of one makes twice the decibels of a share of a power.
    meter, meter_uncertainty = power_db(readings, stretches)
    peak = Values(2 * meter + FULL_SINE_DB, 2 * meter_uncertainty)
    a_weighted, weighted, unweighted = (
        Values(*pair) for pair in zip(level, uncertainty, strict=True)
    )
    return a_weighted, weighted, peak, unweighted


def _curves(spectrum: PowerSpectrum) -> tuple[Curve, ...]:
    curves = []
    channels = spectrum.power.shape[1]
    for channel in range(channels):
        hz, bands = third_octaves(spectrum, channel)
        curves.append(
            Curve(
                name="noise_spectrum" if channels == 1 else f"noise_spectrum_{channel}",
                says=f"Noise in thirds of an octave, {named(channel, channels)}",
                x=tuple(hz.tolist()),
                y=tuple((10 * np.log10(bands + 1e-20) + FULL_SINE_DB).tolist()),
                x_unit="Hz",
                y_unit="dB",
                is_log=True,
            )
        )
    return tuple(curves)


def _remarks(sound: Sound, a_weighted: Array, loudest: float) -> list[str]:
    told = []
    if sound.rate_hz / 2 < HIGH_HZ * 0.95:
        told.append(
            f"The file holds nothing above {sound.rate_hz / 2000:.0f} kHz, so the noise is more "
            "than it says; record at 48 kHz."
        )
    if loudest < CARD_DB:
        told.append(
            "This is about what a sound card makes by itself. Record with the deck switched off: "
            "if the figure hardly falls, it is the card's."
        )
    spread = 10 * np.log10(batch_means(a_weighted)).std(axis=0).max()
    if spread > UNSTEADY_DB:
        told.append(
            f"The noise is not steady (it wanders by {spread:.1f} dB): a contact, a noisy part, "
            "or something recorded on the tape."
        )
    return told


def _refuse_empty(found: Survey, where: str) -> None:
    loudest = max(found.rms)
    for channel, rms in enumerate(found.rms):
        name = named(channel, len(found.rms))
        if rms <= 10 ** (NOTHING_DB / 20):
            raise MeasureError(
                f"{name} holds no noise at all: nothing was recorded.",
                where=where,
                do="Check the leads, and that the recorder's input isn't muted.",
            )
        if rms < loudest * 10 ** (-UNEQUAL_DB / 20):
            raise MeasureError(
                f"{name} is {20 * np.log10(loudest / rms):.0f} dB below the other: "
                "it isn't connected, or the other holds a signal.",
                where=where,
                do="Check the leads, and play a blank stretch of tape.",
            )


def _refuse_tone(spectrum: PowerSpectrum, where: str) -> None:
    for channel in range(spectrum.power.shape[1]):
        hz = tone_of(spectrum, channel)
        if hz is None:
            continue
        level = 10 * np.log10(spectrum.around(hz)[channel]) + FULL_SINE_DB
        if level > TONE_DB:
            raise MeasureError(
                f"it holds a tone of {hz:.0f} Hz at {level:.0f} dB re full scale.",
                where=where,
                do="Play a blank stretch of tape.",
            )
