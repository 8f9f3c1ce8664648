"""A first look at a sound: how loud, clipped or dead its channels are, and whether to go on."""

from __future__ import annotations

from dataclasses import dataclass
from math import log10

import numpy as np

from diag.errors import MeasureError
from diag.measure.sound import Array, Sound, seconds

SILENT_DB = -70.0
"""Level re full scale, as a root mean square, at and below which a channel counts as silent."""
DEAD_DB = -40.0
"""By how much one channel is weaker than the other if it counts as dead."""
CLIPPED = 0.999
"""Share of full scale from which a sample may be clipped."""
CLIP_RUN = 3
"""Samples in a row at the limit that make a clip."""
CLIPS = 1e-5
"""Share of clipped samples that is put up with."""
BLOCK = 1 << 18


@dataclass(frozen=True, slots=True)
class Survey:
    """What there is in each channel: root mean square and peak re full scale, share clipped."""

    seconds: float
    rms: tuple[float, ...]
    peak: tuple[float, ...]
    clipped: tuple[float, ...]

    def rms_db(self, channel: int) -> float:
        """Level of a channel in dB re full scale; minus infinity if it is nothing."""
        return decibels(self.rms[channel])


def decibels(ratio: float) -> float:
    """Twenty times the common logarithm of a ratio of amplitudes; minus infinity at zero."""
    return 20 * log10(ratio) if ratio > 0 else -float("inf")


def survey(sound: Sound) -> Survey:
    """Go through a sound once.

    Raises:
        MeasureError: it holds what is no number, or as reading its blocks does.
    """
    power = np.zeros(sound.channels)
    mean = np.zeros(sound.channels)
    peak = np.zeros(sound.channels)
    clipped = np.zeros(sound.channels)
    for block in sound.blocks(BLOCK):
        # Channels one after the other: sums along the short side of a block are slow.
        lines = np.ascontiguousarray(block.T)
        power += np.einsum("ij,ij->i", lines, lines)
        if not np.isfinite(power).all():
            raise MeasureError(
                "it holds samples that are no numbers.", do="Export it again, as 24-bit WAV."
            )
        mean += lines.sum(axis=1)
        top = np.maximum(lines.max(axis=1), -lines.min(axis=1))
        peak = np.maximum(peak, top)
        if (top >= CLIPPED).any():
            clipped += _clipped(block)
    frames = max(1, sound.frames)
    mean /= frames
    rms = np.sqrt(np.maximum(power / frames - mean**2, 0.0))
    return Survey(
        seconds(sound),
        tuple(rms.tolist()),
        tuple(peak.tolist()),
        tuple((clipped / frames).tolist()),
    )


def refuse_unfit(
    found: Survey, *, least_seconds: float, silent_db: float = SILENT_DB, where: str = ""
) -> None:
    """Refuse what no measurement of a signal could be made of.

    Args:
        found: what there is in the sound.
        least_seconds: how long it must be.
        silent_db: level at and below which it counts as silent; far lower where noise is sought.
        where: file or event that the error names.

    Raises:
        MeasureError: it holds what is no number, or is too short, silent, or clipped.
    """
    if not np.isfinite(found.rms).all():
        raise MeasureError(
            "it holds samples that are no numbers.",
            where=where,
            do="Export it again as 24-bit WAV.",
        )
    if found.seconds < least_seconds:
        raise MeasureError(
            f"it is {found.seconds:.1f} s long; {least_seconds:g} s are needed.",
            where=where,
            do="Record more of the test tape.",
        )
    if all(found.rms_db(channel) <= silent_db for channel in range(len(found.rms))):
        raise MeasureError(
            f"it is silent ({max(map(decibels, found.rms)):.0f} dB re full scale).",
            where=where,
            do="Check the leads and the recording level, and that the tape holds a signal.",
        )
    for channel, share in enumerate(found.clipped):
        if share > CLIPS:
            raise MeasureError(
                f"{named(channel, len(found.clipped))} is clipped "
                f"({share:.2%} of its samples stand at the limit).",
                where=where,
                do="Record it again 10 dB lower.",
            )


def refuse_dead_channel(found: Survey, where: str = "") -> None:
    """Refuse a sound of one channel, or one of which a channel is dead.

    Raises:
        MeasureError: two channels are needed.
    """
    if len(found.rms) < 2:
        raise MeasureError(
            "it has one channel; two are needed.", where=where, do="Record both channels in stereo."
        )
    weak, strong = sorted(range(2), key=lambda channel: found.rms[channel])
    if found.rms_db(weak) <= SILENT_DB or found.rms[weak] < found.rms[strong] * 10 ** (
        DEAD_DB / 20
    ):
        raise MeasureError(
            f"{named(weak, 2)} is dead ({found.rms_db(weak):.0f} dB re full scale, the other "
            f"{found.rms_db(strong):.0f}).",
            where=where,
            do="Find out first why; swap the leads to see whether it is the deck.",
        )


def named(channel: int, channels: int) -> str:
    """A channel in words."""
    return "the channel" if channels == 1 else ("the left channel", "the right channel")[channel]


def _clipped(block: Array) -> Array:
    """Samples of each channel that stand in a run at the limit."""
    at_limit = np.abs(block) >= CLIPPED
    run = at_limit[: len(block) - CLIP_RUN + 1].copy()
    for later in range(1, CLIP_RUN):
        run &= at_limit[later : len(block) - CLIP_RUN + 1 + later]
    found: Array = run.sum(axis=0).astype(np.float64)
    return found
