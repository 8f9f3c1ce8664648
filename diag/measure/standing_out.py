"""Which lines of a flutter matter, and how much of it a line may have that isn't seen."""

from __future__ import annotations

import numpy as np

from diag.measure.spectrum import BY_CHANCE, WINDOW_SPREAD, Spectrum, limit_of

LEAST_AMPLITUDE = 2e-5
"""0.002 % of the speed each way: a tenth of what the best decks read weighted, and a twentieth of
the least that an ear hears of a steady waver (both from memory)."""
LEAST_SHARE = 0.05
"""Of the flutter's mean square. With such a line gone the flutter would read a fortieth less, which
is less than two readings of one deck differ by (judgement)."""
SLOWEST_HZ = 0.2
"""Where the band of unweighted flutter begins."""


def least_power(found: Spectrum) -> float:
    """Power of a line that just matters; as all powers of a spectrum, its amplitude squared."""
    return max(LEAST_AMPLITUDE**2, LEAST_SHARE * _whole(found))


def hidden_share(found: Spectrum) -> float:
    """Largest share of the flutter that a line has which doesn't count as one, 0 to 1.

    That is the strongest ordinate, or the one that would just stand out of its floor, at the rate
    where that is most. Flutter that itself has less than LEAST_AMPLITUDE counts as such a line
    would with LEAST_SHARE, so that the share of next to nothing is told as little.
    """
    looked_at = (found.rates_hz[-1] - found.rates_hz[0]) * found.seconds
    limit = limit_of(found.floor, found.trust, found.averages, looked_at, BY_CHANCE)
    band = found.rates_hz >= SLOWEST_HZ
    most = float(np.maximum(limit, found.power)[band].max(initial=0.0))
    return min(1.0, LEAST_SHARE * most / least_power(found))


def _whole(found: Spectrum) -> float:
    """Twice the mean square of the flutter: the power of a single line that is all of it."""
    independent = (found.rates_hz[1] - found.rates_hz[0]) * found.seconds / WINDOW_SPREAD
    return float(found.power[found.rates_hz >= SLOWEST_HZ].sum() * independent)
