"""Whether intervals of many drawn captures hold the truth as often as they say."""

from __future__ import annotations

from collections.abc import Iterable

from diag.measure.result import Figure

QUICK = (0.90, 0.995)
"""Share of some 100 runs: two and a half standard errors around 95 %."""
PROVED = (0.93, 0.97)


def share_held(figures: Iterable[tuple[Figure, float]]) -> float:
    """Share of figures whose interval holds the true value that stands beside each."""
    held = [abs(figure.value - truth) <= figure.uncertainty for figure, truth in figures]
    return sum(held) / len(held)
