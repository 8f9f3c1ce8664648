"""Dips of a tone: when each begins, how long and how deep it is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.measure.sound import Array
from diag.measure.tone_envelope import EDGE_S, usual_size

TOGETHER_S = 0.01
"""Dips closer than this are one."""
DEEPEST_DB = 60.0
"""What is deeper counts as this: only hiss is left."""
GONE_DB = 12.0
"""The tone is gone where its usual size lies so far below that of most of the time."""
AROUND_S = 0.02
"""Where a tone jumps in size, its edge may look like a click so far away."""


@dataclass(frozen=True, slots=True, eq=False)
class Dips:
    """Dips of one channel.

    Attributes:
        seconds: how long was looked.
        gone: share of that time in which there was no tone.
        begins_s: when each dip begins.
        lengths_s: how long each lasts.
        depths_db: how deep each is.
    """

    seconds: float
    gone: float
    begins_s: Array
    lengths_s: Array
    depths_db: Array

    def away_from(self, times_s: Array) -> NDArray[np.bool_]:
        """Which of some times lie in no dip and at no edge of one."""
        away = np.ones(len(times_s), dtype=np.bool_)
        for begin, length in zip(self.begins_s, self.lengths_s, strict=True):
            away &= (times_s < begin - AROUND_S) | (times_s > begin + length + AROUND_S)
        return away


def find_dips(envelope: Array, step_s: float, depth_db: float, least_s: float) -> Dips:
    """Dips below the usual size by `depth_db` or more that last `least_s` or longer.

    Args:
        envelope: amplitudes of a tone, of shape (steps).
        step_s: from one to the next.
        depth_db: positive.
        least_s: what is shorter is left out.
    """
    usual = usual_size(envelope[:, None], step_s)[:, 0]
    gone = float(np.mean(usual < np.median(usual) * 10 ** (-GONE_DB / 20)))
    ratio = envelope / np.maximum(usual, 1e-12)
    low = np.concatenate([[False], ratio < 10 ** (-depth_db / 20), [False]])
    edges = np.flatnonzero(np.diff(low))
    begins, ends = edges[::2], edges[1::2]
    # A short rise in the middle of a dip doesn't make two of it.
    parted = (begins[1:] - ends[:-1]) * step_s > TOGETHER_S
    begins, ends = (
        begins[np.r_[True, parted][: len(begins)]],
        ends[np.r_[parted, True][: len(ends)]],
    )
    long = (ends - begins) * step_s >= least_s
    begins, ends = begins[long], ends[long]
    lowest = [ratio[begin:end].min() for begin, end in zip(begins, ends, strict=True)]
    depths = -20 * np.log10(np.maximum(np.array(lowest), 10 ** (-DEEPEST_DB / 20)))
    return Dips(
        len(envelope) * step_s,
        gone,
        EDGE_S + begins * step_s,
        (ends - begins) * step_s,
        depths.reshape(-1),
    )
