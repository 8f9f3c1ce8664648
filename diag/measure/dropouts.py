"""Dropouts of a tone and crackle: how often, how deep, and whether they come round."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from diag.errors import MeasureError
from diag.measure.clicks import click_times
from diag.measure.dips import Dips, find_dips
from diag.measure.events import comes_round, mean_figure, per_minute
from diag.measure.level import tone_of
from diag.measure.power_spectrum import power_spectrum
from diag.measure.result import Figure, Measurement
from diag.measure.sound import Array, Sound
from diag.measure.survey import named, refuse_unfit, survey
from diag.measure.tone_envelope import tone_envelope

LEAST_SECONDS = 20.0
DEPTH_DB = 6.0
LEAST_MS = 10.0
GONE_SHARE = 0.1
NOTHING_DB = -100.0


def measure_dropouts(
    sound: Sound,
    *,
    depth_db: float = DEPTH_DB,
    least_ms: float = LEAST_MS,
    where: str = "",
) -> Measurement:
    """Dropouts and crackle of the channel that has more of each.

    A dropout is a dip of a steady tone by `depth_db` or more, for `least_ms` or longer, below its
    usual size in the seconds around (from memory: 6 dB and 10 ms are common). A click is a jump
    that stands out of the hiss; what belongs to a dropout is none. Rates are those behind the
    counts, with the uncertainty of a count of chance events.

    Args:
        sound: a steady tone off the tape, 20 s at least; of a blank tape only crackle is told.
        depth_db: how deep a dip counts.
        least_ms: how long a dip counts; below 10 ms the filter blurs it.
        where: file or event that an error names.

    Raises:
        MeasureError: it is too short, silent or clipped, or the tone is gone for long.
    """
    refuse_unfit(survey(sound), least_seconds=LEAST_SECONDS, silent_db=NOTHING_DB, where=where)
    spectrum = power_spectrum(sound)
    tones = [tone_of(spectrum, channel) for channel in range(sound.channels)]
    found = _dips(sound, tones, depth_db, least_ms / 1000)
    gone = max((dips.gone for dips in found if dips is not None), default=0.0)
    if gone > GONE_SHARE:
        raise MeasureError(
            f"the tone is gone for {gone:.0%} of the time.",
            where=where,
            do="Cut the capture to the stretch that holds the tone.",
        )
    says = f"Dropouts of {depth_db:g} dB and {least_ms:g} ms a minute"
    told, remarks = _dropouts(found, says)
    crackle, more = _crackle(sound, tones, found)
    return Measurement(
        what="dropouts",
        figures=(*told, *crackle),
        remarks=(*remarks, *more),
        source="from_memory",
    )


def _dips(
    sound: Sound, tones: Sequence[float | None], depth_db: float, least_s: float
) -> list[Dips | None]:
    """Dips of each channel that holds a tone."""
    there = [hz for hz in tones if hz is not None]
    if not there:
        return [None for _ in tones]
    envelope, step_s = tone_envelope(sound, float(np.mean(there)))
    return [
        None if hz is None else find_dips(envelope[:, channel], step_s, depth_db, least_s)
        for channel, hz in enumerate(tones)
    ]


def _dropouts(found: Sequence[Dips | None], says: str) -> tuple[list[Figure], list[str]]:
    """Figures and remarks of the channel that has more of them."""
    remarks = [
        f"{named(channel, len(found)).capitalize()} holds no steady tone, so that dropouts in it "
        "can't be told. Play one of 1 to 3 kHz."
        for channel, dips in enumerate(found)
        if dips is None
    ]
    by_channel = [(dips, channel) for channel, dips in enumerate(found) if dips is not None]
    if not by_channel:
        return [], remarks
    dips, channel = max(by_channel, key=lambda pair: len(pair[0].begins_s))
    count = len(dips.begins_s)
    told = [per_minute("dropouts_per_minute", says, count, dips.seconds)]
    told += mean_figure("dropout_depth_db", "Mean depth of a dropout", dips.depths_db, "dB")
    told += mean_figure(
        "dropout_length_ms", "Mean length of a dropout", 1000 * dips.lengths_s, "ms"
    )
    if count:
        remarks.append(
            f"{_counted(count, 'dropout')} in {named(channel, len(found))}; the longest lasts "
            f"{1000 * dips.lengths_s.max():.0f} ms, the deepest is {dips.depths_db.max():.0f} dB."
        )
    figures, more = _round("dropout", dips.begins_s, dips.seconds)
    return told + figures, remarks + more


def _crackle(
    sound: Sound, tones: Sequence[float | None], found: Sequence[Dips | None]
) -> tuple[list[Figure], list[str]]:
    times, seconds = click_times(sound, tones)
    alone = [
        side if dips is None else side[dips.away_from(side)]
        for side, dips in zip(times, found, strict=True)
    ]
    worst = max(range(len(alone)), key=lambda channel: len(alone[channel]))
    count = len(alone[worst])
    told = [per_minute("crackle_per_minute", "Clicks a minute", count, seconds)]
    remarks = [f"{_counted(count, 'click')} in {named(worst, len(alone))}."] if count else []
    figures, more = _round("crackle", alone[worst], seconds)
    return told + figures, remarks + more


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


def _round(stem: str, times_s: Array, seconds: float) -> tuple[list[Figure], list[str]]:
    """Whether they come round, with how often chance would bring that."""
    found = comes_round(times_s, seconds)
    if found is None:
        return [], []
    word = "click" if stem == "crackle" else stem
    figure = Figure(
        key=f"{stem}_period_s",
        says=f"Time from one {word} to the next",
        value=found.period_s,
        uncertainty=found.uncertainty_s,
        unit="s",
    )
    odds = "a million" if found.by_chance < 1e-6 else f"{1 / found.by_chance:,.0f}"
    remark = (
        f"The {word}s come round every {found.period_s:.3g} s. Chance alone would bring that in "
        f"less than one of {odds} captures: look for a part that turns at that rate."
    )
    return [figure], [remark]
