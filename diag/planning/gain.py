"""How much each check would tell, and what each remedy would mend."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diag.inference.bounds import EASY
from diag.inference.network import Network
from diag.inference.posterior import Posterior
from diag.inference.what_if import what_if
from diag.model.book import Book
from diag.planning.entropy import Floats, entropy

STATES = 1 << 18
"""Rows times states of the largest product that a batch may have: 20 to 40 ms (measured)."""
LEAST = 4
"""Checks that are scored however wide the network is."""


@dataclass(frozen=True, slots=True, eq=False)
class CheckGain:
    """What a check would tell.

    `nats` is the sum over causes of the entropy that the answer is expected to take away: an upper
    bound of their joint information, which ranks checks almost as that does and is deterministic.
    `chance` has the probability of each answer, shape (answers,), and `after` that of each of
    `causes` once it is given, shape (answers, causes).
    """

    check: str
    nats: float
    causes: tuple[str, ...]
    chance: Floats
    after: Floats

    @property
    def parts(self) -> tuple[str, str | None]:
        """The cause that its two likeliest answers move most, and the one most the other way."""
        first, second = np.argsort(-self.chance, kind="stable")[:2]
        shift = self.after[first] - self.after[second]
        most = int(np.argmax(np.abs(shift)))
        against = int(np.argmin(shift * np.sign(shift[most])))
        parted = shift[against] * shift[most] < 0 and against != most
        return self.causes[most], self.causes[against] if parted else None


def check_gains(
    book: Book, network: Network, now: Posterior, checks: Sequence[str]
) -> tuple[CheckGain, ...]:
    """The gain of every check, from one batch of what-ifs over all their answers.

    Give the most promising checks first: on a wide network the last are left out.
    """
    width = EASY if now.is_wide else now.width
    informative = _affordable(book, [c for c in checks if book.checks[c].signs], width)
    rows = [said for check in informative for said in book.checks[check].evidence.values()]
    if not rows:
        return ()
    futures = what_if(network, rows, now, rare=False)
    before = entropy(futures.now).sum()
    after = entropy(futures.posterior).sum(axis=1)
    ends = np.cumsum([len(book.checks[check].answers) for check in informative])
    starts = ends - [len(book.checks[check].answers) for check in informative]
    weight = np.add.reduceat(futures.probability, starts)
    left = np.add.reduceat(futures.probability * after, starts) / weight
    nats = np.maximum(before - left, 0.0)
    return tuple(
        CheckGain(
            check,
            float(nats[at]),
            futures.causes,
            futures.probability[starts[at] : ends[at]],
            futures.posterior[starts[at] : ends[at]],
        )
        for at, check in enumerate(informative)
    )


def _affordable(book: Book, checks: Sequence[str], width: int) -> list[str]:
    """All checks, or on a wide network as many of the first as can be scored quickly."""
    rows = STATES >> width
    chosen: list[str] = []
    for check in checks:
        rows -= len(book.checks[check].answers)
        if rows < 0 and len(chosen) >= LEAST:
            break
        chosen.append(check)
    return chosen
