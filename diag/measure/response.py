"""Replay response from a test tape, and what its treble and bass look like."""

from __future__ import annotations

import numpy as np

from diag.errors import MeasureError
from diag.measure.azimuth import measure_azimuth
from diag.measure.bass import FALL, explain_bass
from diag.measure.head_bump import Bump, head_bump
from diag.measure.result import Curve, Figure, Measurement
from diag.measure.sound import Array, Sound
from diag.measure.survey import DEAD_DB, SILENT_DB, Survey, named, refuse_unfit, survey
from diag.measure.tape_geometry import STEREO_ON_3_81_MM, Tracks
from diag.measure.tape_levels import Levels, levels_of_noise, levels_of_sweep, levels_of_tones
from diag.measure.test_tape import TestTape
from diag.measure.treble import Replay, Treble, explain_treble

LEAST_SECONDS = 5.0
TOLD_HZ = (63.0, 125.0, 1000.0, 6300.0, 8000.0, 10_000.0, 12_500.0, 14_000.0)
BY_CHANNEL_HZ = 10_000.0
MIDDLE_HZ, WHOLE_HZ = (250.0, 6300.0), (40.0, 12_500.0)
"""Ranges in which the least demands on hi-fi tape machines limit the spread (din_45500)."""
SURE = 0.8
POOR_FIT = 0.01
UNLIKE_DB = 2.0
KNOWN_ARCMIN = 5.0
"""Azimuth known no better than this says nothing of the treble."""


def measure_response(
    sound: Sound, tape: TestTape, tracks: Tracks = STEREO_ON_3_81_MM
) -> Measurement:
    """Levels re the reference of a test tape, which a right deck plays flat.

    Uncertainties of levels are the scatter in time alone (half the 95 % interval by Student's t,
    with windows that are alike counted as fewer); what the tape itself is off by is not in them.
    What treble and bass look like is weighed by Bayes: see `diag.measure.treble` and `bass`.

    Args:
        sound: one or two channels.
        tape: what the tape holds.
        tracks: of the deck; the width counts.

    Raises:
        MeasureError: too short, silent, clipped, or not what the tape holds.
    """
    found = survey(sound)
    refuse_unfit(found, least_seconds=LEAST_SECONDS)
    live = _live(found)
    levels = _levels(sound, live, tape)
    at = _reference(levels, tape)
    db = levels.db - levels.db[at]
    half = np.hypot(levels.uncertainty_db, levels.uncertainty_db[at])
    half[at] = 0.0
    (db, mean), (half, mean_half) = (np.split(part, [-1], axis=1) for part in (db, half))
    mean, mean_half = mean[:, 0], mean_half[:, 0]
    azimuth = _azimuth(sound, tape, tracks) if len(live) == 2 and tape.whole_width else None
    how = Replay(
        replay_us=tape.replay_us,
        speed_mm_s=tape.speed_mm_s,
        width_mm=tracks.width_mm,
        azimuth=azimuth,
    )
    looks = explain_treble(levels.hz, mean, mean_half, tape.reference_hz, how)
    bump = head_bump(levels.hz, mean, mean_half)
    bass = explain_bass(levels.hz, db, half, tape.reference_hz, tape.bass_us)
    return Measurement(
        what="response",
        figures=(
            *_told(levels.hz, mean, mean_half, tape.reference_hz),
            *_by_channel(levels.hz, db, half, tape.reference_hz),
            *_spreads(levels.hz, db, half),
            *_causes(looks, azimuth is None),
            *_bump(bump),
        ),
        curves=_curves(levels.hz, db, live, sound.channels),
        remarks=(*_bass(bass), *_remarks(tape, found, live, levels, db, looks)),
        source="iec_60094_2",
        likely=looks.likely,
    )


def _live(found: Survey) -> list[int]:
    loudest = max(found.rms_db(channel) for channel in range(len(found.rms)))
    least = max(SILENT_DB, loudest + DEAD_DB)
    return [channel for channel in range(len(found.rms)) if found.rms_db(channel) > least]


def _levels(sound: Sound, live: list[int], tape: TestTape) -> Levels:
    if tape.holds == "tones":
        return levels_of_tones(sound, live, tape.tones_hz)
    if tape.holds == "sweep":
        return levels_of_sweep(sound, live, tape.low_hz, tape.high_hz)
    return levels_of_noise(sound, live, tape.low_hz, tape.high_hz)


def _reference(levels: Levels, tape: TestTape) -> int:
    at = int(np.abs(np.log(levels.hz / tape.reference_hz)).argmin())
    if abs(np.log(levels.hz[at] / tape.reference_hz)) > 0.1:
        raise MeasureError(
            f"the reference of {tape.reference_hz:g} Hz was not found.",
            do="Record the response section from before its first tone.",
        )
    return at


def _azimuth(sound: Sound, tape: TestTape, tracks: Tracks) -> tuple[float, float] | None:
    """What the phase between the channels says, if it says anything."""
    try:
        found = measure_azimuth(sound, tape.speed_mm_s, tracks)["azimuth_arcmin"]
    except MeasureError:
        return None
    return (found.value, found.uncertainty) if found.uncertainty < KNOWN_ARCMIN else None


def _told(hz: Array, db: Array, half: Array, reference_hz: float) -> list[Figure]:
    return [
        Figure(
            key=f"response_{_word(reference_hz)}_to_{_word(told)}_db",
            says=f"level at {_spoken(told)} re {_spoken(reference_hz)}",
            value=float(db[at]),
            uncertainty=float(half[at]),
            unit="dB",
        )
        for told in TOLD_HZ
        for at in np.flatnonzero(hz == told)
        if told != reference_hz
    ]


def _by_channel(hz: Array, db: Array, half: Array, reference_hz: float) -> list[Figure]:
    if db.shape[1] < 2:
        return []
    return [
        Figure(
            key=f"response_{_word(reference_hz)}_to_{_word(BY_CHANNEL_HZ)}_{side}_db",
            says=f"{side} channel, level at {_spoken(BY_CHANNEL_HZ)} re {_spoken(reference_hz)}",
            value=float(db[at, channel]),
            uncertainty=float(half[at, channel]),
            unit="dB",
        )
        for at in np.flatnonzero(hz == BY_CHANNEL_HZ)
        for channel, side in enumerate(("left", "right"))
    ]


def _spreads(hz: Array, db: Array, half: Array) -> list[Figure]:
    """From the highest to the lowest level of the worse channel, in two ranges."""
    figures = []
    for low, high in (MIDDLE_HZ, WHOLE_HZ):
        inside = (hz >= low) & (hz <= high)
        if inside.sum() < 3:
            continue
        some, reach = db[inside], half[inside]
        channel = int(np.ptp(some, axis=0).argmax())
        top, bottom = some[:, channel].argmax(), some[:, channel].argmin()
        figures.append(
            Figure(
                key=f"response_spread_{low:.0f}_to_{high:.0f}_hz_db",
                says=f"highest to lowest level, {_spoken(low)} to {_spoken(high)}",
                value=float(some[top, channel] - some[bottom, channel]),
                uncertainty=float(np.hypot(reach[top, channel], reach[bottom, channel])),
                unit="dB",
            )
        )
    return figures


def _causes(looks: Treble, with_azimuth: bool) -> list[Figure]:
    told = [
        ("spacing_um", "space between tape and head that would go with the treble", "µm"),
        ("gap_um", "length of the gap that would go with the treble", "µm"),
    ]
    if with_azimuth:
        says = "azimuth error that would go with the treble, without a sign"
        told.append(("azimuth_arcmin", says, "arcmin"))
    return [
        Figure(
            key="azimuth_by_level_arcmin" if key == "azimuth_arcmin" else key,
            says=says,
            value=getattr(looks, key).value,
            uncertainty=getattr(looks, key).uncertainty,
            unit=unit,
        )
        for key, says, unit in told
    ]


def _bump(bump: Bump | None) -> list[Figure]:
    if bump is None:
        return []
    return [
        Figure(
            key="head_bump_db",
            says=f"strongest bump of the head in the bass, near {bump.hz:.0f} Hz",
            value=bump.db,
            uncertainty=bump.uncertainty_db,
            unit="dB",
        )
    ]


def _curves(hz: Array, db: Array, live: list[int], channels: int) -> tuple[Curve, ...]:
    return tuple(
        Curve(
            name="response" if channels == 1 else ("response_left", "response_right")[channel],
            says=f"response of {named(channel, channels)}",
            x=tuple(hz.tolist()),
            y=tuple(db[:, n].tolist()),
            x_unit="Hz",
            y_unit="dB",
            is_log=True,
        )
        for n, channel in enumerate(live)
    )


def _remarks(
    tape: TestTape, found: Survey, live: list[int], levels: Levels, db: Array, looks: Treble
) -> tuple[str, ...]:
    remarks = [_looks(looks)]
    if looks.misfit < POOR_FIT:
        remarks.append("None of these causes fits well: look at the curve, and check the tape.")
    if len(live) < len(found.rms):
        dead = next(channel for channel in range(2) if channel not in live)
        remarks.append(f"{named(dead, 2).capitalize()} is dead and was left out.")
    if levels.missing_hz:
        told = ", ".join(_spoken(hz) for hz in levels.missing_hz)
        remarks.append(f"Not found: {told}.")
    top = levels.hz <= BY_CHANNEL_HZ
    if db.shape[1] == 2 and abs(np.diff(db[top][-1])[0]) > UNLIKE_DB:
        duller = ("left", "right")[int(db[top][-1].argmin())]
        remarks.append(
            f"The {duller} channel has less treble than the other: look there first, at its half "
            "of the head and its leads."
        )
    remarks.append(
        f"Held against a tape made for {_constants(tape)}. What the tape itself is off by, and "
        "what a tape of whole width adds in the bass, is not told apart from the deck."
    )
    return tuple(remarks)


def _looks(looks: Treble) -> str:
    (first, chance), *rest = looks.likely
    if chance >= SURE or not rest:
        return f"What it looks like: {first} ({chance:.0%})."
    other, second = rest[0]
    return (
        f"It can't be told apart by the levels: {first} ({chance:.0%}) or {other} ({second:.0%}). "
        "Clean the head and look at the setting before anything is turned."
    )


def _bass(likely: tuple[tuple[str, float], ...] | None) -> tuple[str, ...]:
    """What the bass looks like, and what would tell more where the levels don't."""
    if likely is None:
        return ()
    (first, chance), (other, second), *_ = likely
    if chance >= SURE:
        return (f"What it looks like in the bass: {first} ({chance:.0%}).",)
    told = f"The bass can't be told apart by the levels: {first} ({chance:.0%}) or {other} "
    told += f"({second:.0%})."
    if FALL in (first, other):
        told += " A recording of its own that plays flat speaks for the setting, one that falls for"
        told += " a fault."
    return (told,)


def _constants(tape: TestTape) -> str:
    bass = f", {tape.bass_us:g} µs in the bass" if tape.bass_us else ""
    return f"{tape.replay_us:g} µs{bass}"


def _word(hz: float) -> str:
    """A frequency within a key: 315, 1k, 6_3k."""
    return f"{hz / 1000:g}k".replace(".", "_") if hz >= 1000 else f"{hz:g}".replace(".", "_")


def _spoken(hz: float) -> str:
    return f"{hz / 1000:g} kHz" if hz >= 1000 else f"{hz:g} Hz"
