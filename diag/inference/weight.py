"""Why a cause is believed, and how well the answers go together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import log

from diag.inference.alone import log_chance
from diag.inference.evidence import Piece, Ref
from diag.inference.left_out import log_evidence_less
from diag.inference.network import Network
from diag.inference.posterior import Posterior, estimate, quick, solve

DECIBANS_PER_NAT = 10 / log(10)
"""A deciban is a tenth of the common logarithm of odds (I. J. Good's unit)."""


LARGE = log(10)
"""Answers ten times less likely together than apart conflict enough to look for the worst."""

BADLY = log(3)
"""An answer that the others make three times less likely sits badly with them."""


@dataclass(frozen=True, slots=True)
class Conflict:
    """How badly answers go together.

    `nats` is the natural logarithm of the product of the separate probabilities of all answers
    over their joint one: positive if they are less likely together than by themselves (Jensen's
    conflict measure). From `LARGE` on, `worst_first` holds the answers and complaints that sit
    badly with the rest, each with the logarithm of how many times less likely the others make it
    than it is by itself: the worst, and all others of at least `BADLY`. Below, it is empty, as
    chance alone often puts answers a little at odds. `alone` keeps the logarithm of each one's
    separate probability by what it says.
    """

    nats: float
    worst_first: tuple[tuple[Ref, float], ...] = ()
    alone: Mapping[tuple[Piece, ...], float] = field(default_factory=dict, repr=False)

    @property
    def worst(self) -> Ref | None:
        """What sits worst with the rest."""
        return self.worst_first[0][0] if self.worst_first else None

    @property
    def worst_nats(self) -> float:
        """How badly that sits, 0 where there is none."""
        return self.worst_first[0][1] if self.worst_first else 0.0


def weights(
    network: Network, cause: str, posterior: Posterior | None = None
) -> Mapping[Ref, float]:
    """What each answer and complaint says for a cause (positive) or against it, in decibans.

    It is the log-odds of the cause with everything less those with everything but this; infinite
    where one of the two is certain. Give the `posterior` if it is at hand; where it is wide, these
    are estimates.

    Raises:
        ImpossibleEvidence: as `solve` does.
    """
    whole = posterior or solve(network)
    base = quick(network, whole)
    known = base.log_odds[cause]
    found = {}
    for ref in network.refs:
        rest = network.without(ref)
        less = estimate(rest, base.ground) if whole.is_wide else solve(rest)
        without = less.log_odds[cause]
        found[ref] = 0.0 if known == without else (known - without) * DECIBANS_PER_NAT
    return found


def conflict(
    network: Network,
    posterior: Posterior | None = None,
    alone: Mapping[tuple[Piece, ...], float] | None = None,
) -> Conflict:
    """How badly all that was said goes together, and what sits worst with the rest.

    Where the posterior has bounds, the conflict is at least so large; where it is wide, how badly
    single answers sit is an estimate. Separate probabilities that are known from a network with
    the same causes, touched by the same, can be given as `alone`.

    Raises:
        ImpossibleEvidence: as `solve` does.
    """
    whole = posterior or solve(network)
    joint = whole.log_evidence_bounds[1] if whole.log_evidence_bounds else whole.log_evidence
    by_itself: dict[tuple[Piece, ...], float] = {}
    for pieces in _said(network).values():
        known = (alone or {}).get(pieces)
        by_itself[pieces] = log_chance(_only(network, pieces)) if known is None else known
    nats = sum(by_itself.values()) - joint
    if nats < LARGE:
        return Conflict(nats, alone=by_itself)
    base = quick(network, whole)
    less: Mapping[Ref, float]
    if whole.is_wide:
        less = {
            ref: estimate(network.without(ref), base.ground).log_evidence for ref in network.refs
        }
    else:
        less = log_evidence_less(whole)
    apart = {
        ref: by_itself[pieces] + less[ref] - base.log_evidence
        for ref, pieces in _said(network).items()
    }
    worst, *others = sorted(apart.items(), key=lambda item: -item[1])
    odd = (worst, *(other for other in others if other[1] >= BADLY))
    return Conflict(nats, odd, by_itself)


def _said(network: Network) -> Mapping[Ref, tuple[Piece, ...]]:
    """What each answer and complaint says, in order."""
    said: dict[Ref, tuple[Piece, ...]] = {}
    for piece in network.pieces:
        said[piece.ref] = (*said.get(piece.ref, ()), piece)
    return said


def _only(network: Network, pieces: tuple[Piece, ...]) -> Network:
    """The network with this evidence alone.

    Causes that show none of the signs spoken of change nothing of the evidence and are left out.
    """
    causes = {cause for piece in pieces for cause in network.shown_by.get(piece.sign, ())}
    start = {cause: prior for cause, prior in network.start.items() if cause in causes}
    return replace(network, start=start, pieces=pieces)
