"""Distortion of a tone: third and second harmonic, and all of them together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diag.errors import MeasureError
from diag.measure.by_channel import Values, figures
from diag.measure.harmonics import Harmonics, harmonics
from diag.measure.level import FULL_SINE_DB, tone_of
from diag.measure.power_spectrum import power_spectrum
from diag.measure.result import Figure, Measurement
from diag.measure.sound import Sound
from diag.measure.survey import decibels, named, refuse_unfit, survey

LEAST_SECONDS = 6.0
TONES_HZ = (250.0, 1100.0)
"""Above this the third harmonic lies where heads lose treble, and the figure would flatter."""
OFF_SPEED = 0.12
LIKE_LEVEL_DB = 3.0
CARD_SHARE = 0.3
"""Above this share of what was found, the card's harmonics can't be told from the deck's."""
FIGURES = (
    ("third_harmonic_percent", "Third harmonic", slice(1, 2)),
    ("second_harmonic_percent", "Second harmonic", slice(0, 1)),
    ("thd_percent", "All harmonics to the tenth", slice(0, None)),
)


@dataclass(frozen=True, slots=True)
class Tone:
    """The tone of a sound: its frequency, and its level in each channel."""

    hz: float
    dbfs: tuple[float, ...]


def measure_distortion(
    sound: Sound,
    *,
    nominal_hz: float | None = None,
    card: Sound | None = None,
    where: str = "",
) -> Measurement:
    """Third and second harmonic, and all up to the tenth, in percent of the fundamental.

    The uncertainty is that of the mean by the scatter of up to 20 stretches of harmonics that
    keep step with the fundamental.

    Args:
        sound: a tone of 315 or 333 Hz, or any up to 1 kHz; 6 s at least.
        nominal_hz: the tone that is on the tape; any from 250 to 1100 Hz if not given.
        card: the same tone from the card's output into its input at the same level. What the
            card makes by itself widens the interval: whether it adds to the deck's or takes off
            from it is not known.
        where: file or event that an error names.

    Raises:
        MeasureError: it is too short, silent or clipped, no tone stands out or the wrong one, or
            the card's capture is of another tone or level.
    """
    tone = _tone(sound, nominal_hz, where)
    found = harmonics(sound, tone.hz)
    of_card = None if card is None else _card(card, tone, found)
    told: list[Figure] = []
    for key, says, orders in FIGURES:
        values = found.without_noise(orders)
        wider = values.uncertainty if of_card is None else values.uncertainty + of_card.size(orders)
        percent = Values(100 * values.value, 100 * wider)
        told += figures(key, f"{says} of {tone.hz:.0f} Hz", percent, "%")
    return Measurement(
        what="distortion",
        figures=tuple(told),
        remarks=tuple(_remarks(found, of_card)),
        source="din_45500",
    )


def _tone(sound: Sound, nominal_hz: float | None, where: str) -> Tone:
    found = survey(sound)
    refuse_unfit(found, least_seconds=LEAST_SECONDS, where=where)
    spectrum = power_spectrum(sound)
    low, high = TONES_HZ
    if nominal_hz is not None:
        low, high = nominal_hz * (1 - OFF_SPEED), nominal_hz * (1 + OFF_SPEED)
    tones = [tone_of(spectrum, channel) for channel in range(sound.channels)]
    for channel, hz in enumerate(tones):
        name = named(channel, sound.channels)
        if hz is None:
            raise MeasureError(
                f"no tone stands out in {name}.",
                where=where,
                do="Play the level tone of 315 or 333 Hz, and give only the channel that has it.",
            )
        if not low <= hz <= high:
            raise MeasureError(
                f"{name} has a tone of {hz:.0f} Hz; {low:.0f} to {high:.0f} Hz are needed.",
                where=where,
                do="Play the level tone of 315 or 333 Hz.",
            )
    levels = tuple(decibels(rms) + FULL_SINE_DB for rms in found.rms)
    return Tone(float(np.mean([hz for hz in tones if hz is not None])), levels)


def _card(card: Sound, tone: Tone, found: Harmonics) -> Harmonics:
    if card.channels != len(tone.dbfs):
        raise MeasureError(
            f"the card's capture has {card.channels} channel(s), the deck's {len(tone.dbfs)}.",
            do="Record both alike.",
        )
    own = _tone(card, tone.hz, "the card's capture")
    off = max(abs(one - other) for one, other in zip(own.dbfs, tone.dbfs, strict=True))
    if off > LIKE_LEVEL_DB:
        raise MeasureError(
            f"its level is {off:.0f} dB off that of the deck's tone.",
            where="the card's capture",
            do="Set the card's output so that both are alike: its distortion goes with level.",
        )
    of_card = harmonics(card, own.hz)
    orders = min(len(of_card.share), len(found.share))
    return Harmonics(of_card.share[:orders], of_card.error[:orders])


def _remarks(found: Harmonics, of_card: Harmonics | None) -> list[str]:
    told = ["The tape's own distortion is in the figures; it rises with the level on the tape."]
    every = slice(0, None)
    if of_card is None:
        told.append(
            "So are the card's own harmonics. To know them, play the tone from the card into "
            "itself at the same level and give that capture too."
        )
    elif (of_card.size(every) > CARD_SHARE * found.size(every)).any():
        told.append(
            "The card by itself makes nearly as much: the two can't be told apart by this card."
        )
    second, third = (found.without_noise(orders) for orders in (slice(0, 1), slice(1, 2)))
    if _is_above(second, third):
        told.append(
            "The second harmonic is above the third. Tape makes the third: look for a magnetised "
            "head, a leaky coupling capacitor or a stage that is biased wrong."
        )
    return told


def _is_above(one: Values, other: Values) -> bool:
    return bool((one.value - one.uncertainty > other.value + other.uncertainty).any())
