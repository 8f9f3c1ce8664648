"""The bump that the length of a head's face makes in the bass."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diag.measure.sound import Array

UP_TO_HZ = 315.0
LEAST_TONES = 4
WIDTH_OCTAVES = 0.4
"""Half the width of a bump at 0.6 of its height (from memory)."""
SEARCHED = 2.7
"""Standard deviations of half a 95 % interval, the best of all middles having been taken."""
TAPE_DB = 0.5
"""Standard deviation of a tone of a sound deck and tape about flat (from memory)."""


@dataclass(frozen=True, slots=True)
class Bump:
    """The strongest bump: middle, height (minus for a dip) and half its 95 % interval."""

    hz: float
    db: float
    uncertainty_db: float


def head_bump(frequency_hz: Array, level_db: Array, uncertainty_db: Array) -> Bump | None:
    """The bump that fits levels re the reference best; None with too few tones in the bass."""
    is_bass = frequency_hz <= UP_TO_HZ
    hz, db = frequency_hz[is_bass], level_db[is_bass]
    if len(hz) < LEAST_TONES:
        return None
    weight = 1 / ((uncertainty_db[is_bass] / 1.96) ** 2 + TAPE_DB**2)
    best = (-1.0, Bump(0.0, 0.0, 0.0))
    for middle in np.geomspace(hz[0], 0.6 * hz[-1], 40):
        shape = np.exp(-((np.log2(hz / middle) / WIDTH_OCTAVES) ** 2) / 2)
        # The rest of the bass may lie off the reference as a whole.
        shape -= (weight * shape).sum() / weight.sum()
        sure = float((weight * shape**2).sum())
        height = float((weight * shape * db).sum()) / sure
        bump = Bump(float(middle), height, SEARCHED / float(np.sqrt(sure)))
        best = max(best, (height**2 * sure, bump), key=lambda pair: pair[0])
    return best[1]
