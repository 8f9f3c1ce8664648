"""Azimuth of the replay head, from the delay between two channels that hold the same sound.

A gap that stands askew meets one track before the other. The delay is the same at every frequency,
so that it is read from the slope of the phase over frequency; one tone alone leaves it open by
whole cycles, and then every delay that fits is told with its chance.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from diag.errors import MeasureError
from diag.measure import channel_delay
from diag.measure.channel_delay import Choice, Common, Course
from diag.measure.losses import azimuth_loss_db
from diag.measure.result import Curve, Figure, Measurement
from diag.measure.sound import Array, Sound
from diag.measure.survey import refuse_dead_channel, refuse_unfit, survey
from diag.measure.tape_geometry import (
    ARCMIN,
    SPEED_MM_S,
    STEREO_ON_3_81_MM,
    Tracks,
    azimuth_of,
    delay_of,
    phase_deg,
)

LEAST_SECONDS = 3.0
TREBLE_HZ = 2000.0
"""Below it the channels of amplifiers differ by as much phase as an azimuth error makes."""
WIDEST_ARCMIN = 40.0
"""Further off no head is met that still plays treble (from memory)."""
WRONG_CHANCE, WRONG_ARCMIN = 0.3, 12.0
"""Chance that the azimuth of a deck on the bench is wrong, and then the spread of its error as a
standard deviation (from memory)."""
RIGHT_ARCMIN = 2.0
"""Spread of heads that count as right: 45 degrees at 10 kHz (common practice)."""
RIGHT_PHASE_DEG = 45.0
"""Between the channels at 10 kHz: up to it the azimuth is right (common practice)."""
SURE = 0.95
TOO_WIDE_ARCMIN = 5.0
"""A figure that is good to no better than this helps nobody to set a head."""
USUAL_WEAVE_ARCMIN = 0.73
"""As a root mean square: 600 µrad from peak to peak is published as usual, a sine assumed."""
GAP_OFFSET_MM = 1e-3
POINTS = 400
"""Of the curve over time, at most."""


def measure_azimuth(
    sound: Sound,
    speed_mm_s: float = SPEED_MM_S,
    tracks: Tracks = STEREO_ON_3_81_MM,
    *,
    card_delay_us: float = 0.0,
) -> Measurement:
    """Azimuth, delay, phase and loss of a stereo recording of tones, noise or music.

    Plus means that the right channel comes late: at its track the gap leans in the direction in
    which the tape runs. Delay and phase by `azimuth_paper`; the loss from memory.

    The uncertainty is the scatter of the delay from part to part of the sound (a jackknife over
    up to 20 parts), widened over every delay that a tone leaves open. It knows nothing of the
    distance between the tracks, nor of halves of a head whose gaps don't stand in line.

    Args:
        sound: two channels that hold the same signal, 3 s or more.
        speed_mm_s: nominal speed of the tape.
        tracks: width and distance of the two tracks.
        card_delay_us: by how much the sound card itself brings the right channel late.

    Raises:
        MeasureError: too short, silent, clipped, a channel dead, both the same, nothing in common,
            or no treble in common.
    """
    found = survey(sound)
    refuse_unfit(found, least_seconds=LEAST_SECONDS)
    refuse_dead_channel(found)
    common = channel_delay.in_common(sound)
    _refuse_without_treble(common)
    widest_s = delay_of(WIDEST_ARCMIN, tracks, speed_mm_s)
    card_s = card_delay_us * 1e-6
    late_s = np.arange(-widest_s, widest_s, channel_delay.STEP_S)
    usual = _usual(late_s / widest_s * WIDEST_ARCMIN)
    choice = channel_delay.choose(common, card_s + late_s, usual)
    course = channel_delay.follow(sound, common, choice)

    def arcmin(delay_s: float) -> float:
        return azimuth_of(delay_s - card_s, tracks, speed_mm_s)

    best = arcmin(choice.delays_s[0])
    per_s = abs(arcmin(choice.delays_s[0] + 1e-6) - best) * 1e6
    scatter = course.uncertainty_s * per_s
    if scatter > TOO_WIDE_ARCMIN:
        raise MeasureError(
            f"the channels agree too little to tell the azimuth (good to {scatter:.0f} minutes "
            "of arc only).",
            do="Play a test tape with noise or a treble tone on both channels, and more of it.",
        )
    others = [arcmin(delay_s) for delay_s in choice.delays_s]
    reach = _reach(others, choice.chances)
    return Measurement(
        what="azimuth",
        figures=_figures(best, scatter + reach, tracks, speed_mm_s, course, per_s),
        curves=(_over_time(course, arcmin), _over_frequency(common, choice)),
        remarks=(
            _which_way(best, scatter + reach, per_s),
            *_remarks(others, course.weave_s[0] * per_s, choice.is_inverted, tracks),
        ),
        source="azimuth_paper",
        likely=tuple(
            (f"{other:+.1f} arcmin", chance)
            for other, chance in zip(others, choice.chances, strict=True)
        )
        if reach
        else (),
    )


def _usual(azimuth_arcmin: Array) -> Array:
    """Natural log of how usual an error is, up to a constant."""
    right = (1 - WRONG_CHANCE) / RIGHT_ARCMIN * np.exp(-((azimuth_arcmin / RIGHT_ARCMIN) ** 2) / 2)
    wrong = WRONG_CHANCE / WRONG_ARCMIN * np.exp(-((azimuth_arcmin / WRONG_ARCMIN) ** 2) / 2)
    found: Array = np.log(right + wrong)
    return found


def _refuse_without_treble(common: Common) -> None:
    if not len(common.rate_rad_s):
        raise MeasureError(
            "the two channels have nothing in common.",
            do="Play a tape that holds the same signal on both, such as a test tape or mono.",
        )
    highest_hz = float(common.rate_rad_s.max() / (2 * np.pi))
    if highest_hz < TREBLE_HZ:
        raise MeasureError(
            f"the highest that both channels hold is {highest_hz:.0f} Hz, where azimuth hardly "
            "shows.",
            do="Play a tone of 6.3 to 10 kHz, noise, or music with treble.",
        )


def _reach(others: list[float], chances: tuple[float, ...]) -> float:
    """How far from the first the delays lie that together with it hold 95 of 100 chances."""
    total, reach = 0.0, 0.0
    for other, chance in zip(others, chances, strict=True):
        reach = max(reach, abs(other - others[0]))
        total += chance
        if total >= SURE:
            break
    return reach


def _figures(
    azimuth_arcmin: float,
    uncertainty: float,
    tracks: Tracks,
    speed_mm_s: float,
    course: Course,
    per_s: float,
) -> tuple[Figure, ...]:
    phase = abs(phase_deg(azimuth_arcmin, 10_000, tracks, speed_mm_s))
    delay_us = delay_of(azimuth_arcmin, tracks, speed_mm_s) * 1e6
    weave, weave_uncertainty = course.weave_s
    return (
        Figure(
            key="azimuth_arcmin",
            says="azimuth error, plus where the right channel comes late",
            value=azimuth_arcmin,
            uncertainty=uncertainty,
            unit="arcmin",
        ),
        Figure(
            key="delay_us",
            says="delay of the right channel after the left",
            value=delay_us,
            uncertainty=uncertainty / per_s * 1e6,
            unit="µs",
        ),
        Figure(
            key="phase_at_10_khz_deg",
            says="phase between the channels at 10 kHz, without its sign",
            value=phase,
            uncertainty=_degrees(uncertainty, per_s),
            unit="°",
        ),
        _loss("azimuth_loss_10_khz_db", 10_000, azimuth_arcmin, uncertainty, tracks, speed_mm_s),
        _loss("azimuth_loss_12_5_khz_db", 12_500, azimuth_arcmin, uncertainty, tracks, speed_mm_s),
        Figure(
            key="azimuth_weave_arcmin",
            says="how far the azimuth weaves while the tape runs, as a root mean square",
            value=weave * per_s,
            uncertainty=weave_uncertainty * per_s,
            unit="arcmin",
        ),
    )


def _loss(
    key: str, hz: float, arcmin: float, uncertainty: float, tracks: Tracks, speed_mm_s: float
) -> Figure:
    """The loss, and how far it may lie off anywhere within the uncertainty of the azimuth."""
    reach = arcmin + uncertainty * np.linspace(-1, 1, 101)
    losses = [
        float(azimuth_loss_db(np.array([hz]), angle, tracks.width_mm, speed_mm_s)[0])
        for angle in (arcmin, *reach)
    ]
    return Figure(
        key=key,
        says=f"loss by azimuth at {hz / 1000:g} kHz",
        value=losses[0],
        uncertainty=max(abs(loss - losses[0]) for loss in losses),
        unit="dB",
    )


def _over_time(course: Course, arcmin: Callable[[float], float]) -> Curve:
    """The course in a few hundred means at most."""
    parts = max(1, min(POINTS, len(course.at_s)))
    return Curve(
        name="azimuth_over_time",
        says="azimuth over time",
        x=tuple(float(part.mean()) for part in np.array_split(course.at_s, parts)),
        y=tuple(arcmin(float(part.mean())) for part in np.array_split(course.delays_s, parts)),
        x_unit="s",
        y_unit="arcmin",
    )


def _over_frequency(common: Common, choice: Choice) -> Curve:
    middle, _ = channel_delay.bands_of(common)
    turned = channel_delay.phases(common, choice.delays_s[0], choice.is_inverted)
    return Curve(
        name="phase_over_frequency",
        says="phase by which the right channel comes late",
        x=tuple((middle / (2 * np.pi)).tolist()),
        y=tuple(np.degrees(turned).tolist()),
        x_unit="Hz",
        y_unit="°",
        is_log=True,
    )


def _degrees(azimuth_arcmin: float, per_s: float) -> float:
    """Phase between the channels at 10 kHz, for an azimuth of so many minutes a second of delay."""
    return azimuth_arcmin / per_s * 360 * 10_000


def _remarks(
    others: list[float], weave_arcmin: float, is_inverted: bool, tracks: Tracks
) -> tuple[str, ...]:
    remarks = []
    if len(others) > 1:
        told = ", ".join(f"{other:+.1f}" for other in others[1:])
        remarks.append(
            "A tone turns round once in a cycle, so the error may as well be "
            f"{told} minutes. A second, lower tone, noise or music tells which."
        )
    if is_inverted:
        remarks.append(
            "One channel is upside down against the other: look for swapped leads at the head."
        )
    if weave_arcmin > 2 * USUAL_WEAVE_ARCMIN:
        remarks.append(
            "The azimuth weaves more than is usual: look at guides and pinch roller, and try the "
            "tape in another shell."
        )
    offset = GAP_OFFSET_MM / tracks.apart_mm / ARCMIN
    remarks.append(
        f"Worked out for tracks with {tracks.apart_mm:g} mm between their middles. If the gaps of "
        f"the two halves are a thousandth of a millimetre out of line, it looks like {offset:.1f} "
        "minutes; so does a card that takes its channels one after the other. Record one signal "
        "on both inputs to see what the card does."
    )
    return tuple(remarks)


def _which_way(azimuth_arcmin: float, uncertainty: float, per_s: float) -> str:
    """Which way to turn the screw, but only where the error is known and matters."""
    error = abs(azimuth_arcmin)
    phase = _degrees(error, per_s)
    if _degrees(error + uncertainty, per_s) <= RIGHT_PHASE_DEG:
        return (
            f"The channels are {phase:.0f} degrees apart at 10 kHz, and up to "
            f"{RIGHT_PHASE_DEG:.0f} is right: the azimuth is right as it is. Leave the screw alone."
        )
    if error <= uncertainty:
        return "Neither channel is late by more than the uncertainty: leave the screw alone."
    if phase <= RIGHT_PHASE_DEG:
        return (
            f"The channels are {phase:.0f} degrees apart at 10 kHz, and up to "
            f"{RIGHT_PHASE_DEG:.0f} is right: the azimuth is right as far as can be told. Leave "
            "the screw alone."
        )
    late = "right" if azimuth_arcmin > 0 else "left"
    return (
        f"The {late} channel comes late: at its track the gap leans the way the tape runs. Mark "
        "the azimuth screw, turn it by an eighth at most so that this end moves against the run "
        "of the tape, and measure again; if the figure has grown, turn the other way."
    )
