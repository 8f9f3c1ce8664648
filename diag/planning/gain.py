"""How much each check would tell, and what each remedy would mend."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.inference.network import Network
from diag.inference.posterior import Posterior
from diag.inference.what_if import what_if
from diag.model.book import Book

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class CheckGain:
    """What a check would tell.

    `nats` is the sum over causes of the entropy that the answer is expected to take away: an upper
    bound of their joint information, which ranks checks almost as that does and is deterministic.
    `parts` names the cause that its answers move most and the one that they move most the other
    way (None if there is none).
    """

    check: str
    nats: float
    parts: tuple[str, str | None]


def check_gains(
    book: Book, network: Network, now: Posterior, checks: Sequence[str]
) -> tuple[CheckGain, ...]:
    """The gain of every check, from one batch of what-ifs over all their answers."""
    informative = [check for check in checks if book.checks[check].signs]
    rows = [said for check in informative for said in book.checks[check].evidence.values()]
    if not rows:
        return ()
    futures = what_if(network, rows, now)
    ids = list(now.causes)
    before = np.array([now.causes[cause] for cause in ids])
    entropy_before = _entropy(before)
    gains, first = [], 0
    for check in informative:
        last = first + len(book.checks[check].answers)
        chance = np.asarray(futures.probability[first:last])
        after = np.asarray(futures.posterior[first:last])
        first = last
        chance = chance / chance.sum()
        lost = entropy_before - chance @ _entropy(after)
        gains.append(CheckGain(check, float(max(lost.sum(), 0.0)), _parts(ids, chance, after)))
    return tuple(gains)


def _entropy(p: Floats) -> Floats:
    """Entropy in nats of independent yes-or-no chances, elementwise."""
    q = np.clip(p, 1e-300, 1.0)
    r = np.clip(1.0 - p, 1e-300, 1.0)
    return -(p * np.log(q) + (1.0 - p) * np.log(r))


def _parts(ids: Sequence[str], chance: Floats, after: Floats) -> tuple[str, str | None]:
    """Which cause the two likeliest answers part from which."""
    first, second = np.argsort(-chance)[:2]
    shift = after[first] - after[second]
    most = int(np.argmax(np.abs(shift)))
    against = int(np.argmin(shift * np.sign(shift[most])))
    other = ids[against] if shift[against] * shift[most] < 0 and against != most else None
    return ids[most], other
