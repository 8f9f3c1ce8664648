"""When what a deck does lies outside the book: signs that no known cause accounts for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import exp

from diag.errors import ImpossibleEvidence
from diag.inference.network import Network
from diag.inference.posterior import Posterior, log_evidence

UNEXPLAINED = 0.4
"""Chance of having come by its leak from which a sign counts as not accounted for.

By then no look at a cause of the book is worth its minutes any more. On 40 to 60 simulated decks
0.8, 0.5 and 0.4 took 287, 263 and 259 minutes to all faults mended."""


HOPE = 0.5
"""Share of its minutes that the best step must save for the search to go on after a failed test.

Without it, 3 of 400 simulated decks, each with a fault that the book doesn't know, were worked on
for 6 to 17 times the minutes of a clairvoyant."""
MAY_WELL_BE = 0.35
"""Chance of being needed from which a remedy keeps hope up, whatever it costs."""

IN_VAIN = 6
"""Repairs of what can bring a sign about that leave it, after which the book doesn't know it.

Common practice. Without it, 1 of 2050 simulated decks, with four signs of a fault that the book
doesn't know, was mended for 250 steps, each repair as little likely as the one before."""


@dataclass(frozen=True, slots=True)
class Unexplained:
    """A sign that is there, and the chance that something brought it that the book doesn't know."""

    sign: str
    chance: float

    @property
    def is_likely(self) -> bool:
        """Whether the sign counts as not accounted for."""
        return self.chance >= UNEXPLAINED


def unexplained(
    network: Network, now: Posterior, least: float = UNEXPLAINED
) -> tuple[Unexplained, ...]:
    """The signs said to be present now that, with a chance of `least`, no known cause accounts for.

    A leak stands for all that the book doesn't know. The chance that it fired is one less that of
    the evidence with the leak held back, over that of the evidence as it is: exact, one solution a
    sign. The surest come first.
    """
    found = [
        Unexplained(sign, chance)
        for sign in _present_now(network)
        if (chance := _leaked(network, now, sign)) >= least
    ]
    return tuple(sorted(found, key=lambda u: (-u.chance, u.sign)))


def _present_now(network: Network) -> list[str]:
    """Signs that the latest answers call present for certain."""
    pairs = network.pairs.items()
    return [
        sign
        for (sign, block), (absent, present) in pairs
        if not absent and present and block == network.now(sign)
    ]


def _leaked(network: Network, now: Posterior, sign: str) -> float:
    leak = network.leaks[sign]
    sealed = replace(network.outset, leaks={**network.leaks, sign: 0.0})
    held = replace(network, outset=sealed)
    try:
        without = log_evidence(held)
    except ImpossibleEvidence:
        return 1.0
    return 1.0 - (1.0 - leak) * exp(without - now.log_evidence)
