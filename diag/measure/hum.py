"""Hum: how strong it is at the mains frequency and its multiples, and where it comes from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diag.errors import MeasureError
from diag.measure.by_channel import Values
from diag.measure.hum_lines import MAINS_HZ, Lines, hum_lines
from diag.measure.hum_origin import origins
from diag.measure.level import FULL_SINE_DB, reference_levels
from diag.measure.result import Figure, Measurement
from diag.measure.scatter import DB_OF_A_SHARE
from diag.measure.sound import Sound
from diag.measure.survey import named, refuse_unfit, survey

LEAST_SECONDS = 12.0
CLEAR = 4.0
"""One mains frequency is told from the other if its lines have so many times the power."""
NOTHING_DB = -120.0
LOUDEST_DB = -20.0
STOP_THE_DECK = (
    "Stop the deck and record again: hum that stays is made by the deck or its leads, "
    "hum that goes comes with the head or off the tape."
)


@dataclass(frozen=True, slots=True)
class Scale:
    """What levels are told against: how far they shift, how sure that is, and its name."""

    shift_db: float
    uncertainty_db: float
    ending: str
    words: str

    def figure(self, stem: str, says: str, power: float, uncertainty: float) -> Figure:
        """A level of a mean square."""
        share = DB_OF_A_SHARE * uncertainty / power
        return Figure(
            key=f"{stem}_{self.ending}",
            says=f"{says} {self.words}",
            value=float(10 * np.log10(power)) + self.shift_db,
            uncertainty=float(np.hypot(share, self.uncertainty_db)),
            unit="dB",
        )


def measure_hum(
    sound: Sound,
    *,
    reference: Sound | None = None,
    reference_dbfs: float | None = None,
    mains_hz: float | None = None,
    where: str = "",
) -> Measurement:
    """Hum of the channel that has more of it: all together, and each line that stands out.

    A line is what the spectrum of two seconds has in its place more than beside it. The
    uncertainty is that of the mean by the scatter of up to 20 stretches. Where no line stands
    out, the figure is a limit and its key says so.

    Args:
        sound: the deck with no tape, or a blank one; 12 s at least.
        reference: a capture of the reference level, at the same setting of the recorder.
        reference_dbfs: or that level itself, in dB re a sine that fills the scale.
        mains_hz: 50 or 60 where the deck stands; found from the lines if not given.
        where: file or event that an error names.

    Raises:
        MeasureError: it is too short, clipped or empty, or too loud for a pause.
    """
    _refuse(sound, mains_hz, where)
    level = reference_levels(sound, reference, reference_dbfs)
    candidates = [
        [lines for lines in both if mains_hz in (None, lines.mains_hz)] for both in hum_lines(sound)
    ]
    chosen = [max(both, key=_strength) for both in candidates]
    channel = int(np.argmax([lines.total()[0] for lines in chosen]))
    name = named(channel, sound.channels)
    scale = _scale(level, channel)
    lines = chosen[channel]
    if not lines.stand_out.any():
        return _nothing(candidates[channel], scale, name)
    remarks = [] if sound.channels == 1 else [f"Told of {name}, which hums more."]
    if len(candidates[channel]) > 1 and _is_mixed(candidates[channel]):
        remarks.append("Lines of 50 and of 60 Hz mains are both there; say which is yours.")
    return Measurement(
        what="hum",
        figures=_figures(lines, scale),
        remarks=(*remarks, STOP_THE_DECK),
        source="common_practice",
        likely=origins(lines),
    )


def _refuse(sound: Sound, mains_hz: float | None, where: str) -> None:
    found = survey(sound)
    refuse_unfit(found, least_seconds=LEAST_SECONDS, silent_db=NOTHING_DB, where=where)
    loudest = max(found.rms_db(channel) for channel in range(sound.channels)) + FULL_SINE_DB
    if loudest > LOUDEST_DB:
        raise MeasureError(
            f"it is too loud for a pause ({loudest:.0f} dB re full scale).",
            where=where,
            do="Record the deck with no tape, or play a blank stretch.",
        )
    if mains_hz not in (None, *MAINS_HZ):
        raise MeasureError(f"no mains has {mains_hz:g} Hz.", where=where, do="Give 50 or 60.")


def _strength(lines: Lines) -> tuple[float, float]:
    return lines.own_power(), lines.total()[0]


def _is_mixed(both: Sequence[Lines]) -> bool:
    weak, strong = sorted(lines.own_power() for lines in both)
    return weak * CLEAR > strong


def _scale(level: Values | None, channel: int) -> Scale:
    if level is None:
        return Scale(FULL_SINE_DB, 0.0, "dbfs", "re full scale")
    shift = FULL_SINE_DB - float(level.value[channel])
    return Scale(shift, float(level.uncertainty[channel]), "db", "re the reference")


def _figures(lines: Lines, scale: Scale) -> tuple[Figure, ...]:
    told = [scale.figure("hum", f"Hum of {lines.mains_hz:.0f} Hz mains", *lines.total())]
    for hz, power, uncertainty in zip(
        lines.hz[lines.stand_out],
        lines.mean[lines.stand_out],
        lines.uncertainty[lines.stand_out],
        strict=True,
    ):
        told.append(scale.figure(f"hum_{hz:.0f}hz", f"Hum at {hz:.0f} Hz", power, uncertainty))
    return tuple(told)


def _nothing(both: Sequence[Lines], scale: Scale, name: str) -> Measurement:
    """No line stands out: the most that could hide under the hiss."""
    limit = max(max(power, 0.0) + uncertainty for power, uncertainty in map(Lines.total, both))
    return Measurement(
        what="hum",
        figures=(scale.figure("hum_at_most", "Hum, at most", limit, 0.0),),
        remarks=(f"No hum stands out of the hiss in {name}.",),
        source="common_practice",
    )
