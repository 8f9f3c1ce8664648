"""What is known of a sign in one block of time because of what was said of another.

A cause that nothing brings about can only go, and what it fired it fired for as long as it lasts.
So through blocks that only repairs part, a sign can vanish but not appear: where it was present at
the end it was present all along, and where it was absent it stays absent. What was said of the
blocks in between then is a plain factor.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from math import inf


def implied(pairs: Mapping[int, tuple[float, float]], risen: Sequence[int]) -> dict[int, float]:
    """The blocks of one sign that others settle, with the likelihood of what was said of them.

    Args:
        pairs: by block, the likelihoods of what was said (if the sign is absent, if present).
        risen: the first block, rising, after each step that may have brought a cause about.
    """
    runs: dict[int, list[int]] = {}
    for block in pairs:
        runs.setdefault(bisect_right(risen, block), []).append(block)
    found = {}
    for run in runs.values():
        present_until = max((block for block in run if not pairs[block][0]), default=-1)
        absent_from = min((block for block in run if not pairs[block][1]), default=inf)
        for block in run:
            if block < present_until:
                likelihood = pairs[block][1]
            elif block > absent_from:
                likelihood = pairs[block][0]
            else:
                continue
            if likelihood:  # else the two contradict each other, which the solution finds out
                found[block] = likelihood
    return found
