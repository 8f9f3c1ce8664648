"""The probability of every cause, given all that was said."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from diag.errors import ImpossibleEvidence
from diag.inference.bounds import EASY, Choice, choose, intervals
from diag.inference.evidence import Ref
from diag.inference.ground import Ground, ground
from diag.inference.joint import Joint, log_mass_rows, repeated, solve_rows
from diag.inference.network import Network
from diag.inference.segments import segment_sums
from diag.inference.values import Array
from diag.model.figures import log_odds
from diag.model.history import Given

WIDEST = 21
"""Bits of the largest product that is made: two seconds and 300 MB; each more doubles both."""

OFTEN = 16
"""The same of what is solved many times over, as what-ifs are; wider is estimated."""


@dataclass(frozen=True, slots=True)
class Posterior:
    """What is known of a deck's causes.

    Attributes:
        causes: the probability that each cause is present now; where it is not exact, an estimate
            within its bounds.
        log_odds: the natural log-odds of the same; exact where a probability rounds to 1.
        log_evidence: the natural logarithm of the probability of the evidence, or an estimate
            within its bounds.
        width: bits of the largest product of an exact elimination.
        bounds: for each cause, the interval that certainly holds its probability; None where the
            answer is exact.
        log_evidence_bounds: the same of the logarithm of the evidence.
        ground: the numbered problem, from which further questions are answered.
    """

    causes: Mapping[str, float]
    log_odds: Mapping[str, float]
    log_evidence: float
    width: int
    bounds: Mapping[str, tuple[float, float]] | None
    log_evidence_bounds: tuple[float, float] | None
    ground: Ground

    @property
    def is_wide(self) -> bool:
        """Whether further questions, which take many solutions, are answered by estimates."""
        return self.width > OFTEN


def solve(network: Network) -> Posterior:
    """The posterior: exact up to a width of `WIDEST`, past it an estimate with certain bounds.

    Raises:
        ImpossibleEvidence: no state of the deck gives these answers.
    """
    grounded = ground(network)
    if grounded.problem.width > WIDEST:
        return _bounded(grounded)
    return _solved(grounded, grounded.problem.width)


def log_evidence(network: Network) -> float:
    """`solve(network).log_evidence`, without the work for the causes.

    Raises:
        ImpossibleEvidence: no state of the deck gives these answers.
    """
    grounded = ground(network)
    problem = grounded.problem
    if problem.width <= WIDEST:
        (found,) = log_mass_rows(problem, *repeated(problem))
        if found > -np.inf:
            return float(found) + grounded.constant
    return solve(network).log_evidence


def estimate(network: Network, like: Ground) -> Posterior:
    """The posterior with signs relaxed where they hang together by more than `EASY`.

    What is relaxed in the ground `like` stays so, that two estimates may be compared. The bounds
    are not worked out and stay None.

    Raises:
        ImpossibleEvidence: no state of the deck gives these answers.
    """
    grounded = ground(network, like.touching)
    if grounded.problem.width > EASY:
        grounded = _relaxed(grounded, choose(grounded.problem, EASY))
    return _solved(grounded, grounded.problem.width)


def quick(network: Network, posterior: Posterior) -> Posterior:
    """The posterior of the network if it is at hand and narrow, else an estimate like it."""
    return estimate(network, posterior.ground) if posterior.is_wide else posterior


def _relaxed(grounded: Ground, choice: Choice) -> Ground:
    spots = list(grounded.bits)
    more = {spots[b]: float(r) for b, r in zip(choice.relaxation.bits, choice.at, strict=True)}
    return ground(grounded.network, {**grounded.touching, **more})


def _solved(grounded: Ground, width: int) -> Posterior:
    """The posterior of a ground, exact but for what is relaxed in it."""
    problem = grounded.problem
    joint = solve_rows(problem, *repeated(problem))
    if joint.log_mass[0] == -np.inf:
        raise impossible(grounded, joint.impossible)
    now, absent = (
        _by_cause(grounded, joint, side)[:, 0] for side in (grounded.is_now, ~grounded.is_now)
    )
    with np.errstate(divide="ignore"):
        odds = np.log(now) - np.log(absent)
    causes = grounded.network.start
    return Posterior(
        causes=dict(zip(causes, now.tolist(), strict=True)),
        log_odds=dict(zip(causes, odds.tolist(), strict=True)),
        log_evidence=float(joint.log_mass[0]) + grounded.constant,
        width=width,
        bounds=None,
        log_evidence_bounds=None,
        ground=grounded,
    )


def _bounded(grounded: Ground) -> Posterior:
    """An estimate with certain bounds around it."""
    if never := [bit for bit, pair in enumerate(grounded.problem.pairs) if not any(pair)]:
        raise impossible(grounded, never)
    choice = choose(grounded.problem, EASY)
    guess = _solved(_relaxed(grounded, choice), grounded.problem.width)
    found = intervals(choice, grounded.is_now)
    if found is None:
        raise impossible(grounded, choice.relaxation.bits)
    low, high, middle = (side.tolist() for side in (found.low, found.high, found.middle))
    causes = list(guess.causes)
    least, most = (side + grounded.constant for side in found.log_mass)
    return replace(
        guess,
        causes=dict(zip(causes, middle, strict=False)),
        log_odds={cause: log_odds(p) for cause, p in zip(causes, middle, strict=False)},
        log_evidence=min(max(guess.log_evidence, least), most),
        bounds={cause: (low[at], high[at]) for at, cause in enumerate(causes)},
        log_evidence_bounds=(least, most),
    )


def present_now(grounded: Ground, joint: Joint) -> Array:
    """Probability that each cause of the network is present now, shape (causes, rows)."""
    return _by_cause(grounded, joint, grounded.is_now)


def impossible(grounded: Ground, bits: Sequence[int]) -> ImpossibleEvidence:
    """The error that names the signs which can't be as they were said to be, and who said so."""
    spots = list(grounded.bits)
    signs = {spots[bit][0] for bit in bits} or {sign for sign, _ in grounded.absent}
    said = [piece for piece in grounded.network.pieces if piece.sign in signs]
    named = ", ".join(f"`{sign}`" for sign in dict.fromkeys(piece.sign for piece in said))
    refs = ", ".join(dict.fromkeys(_named(piece.ref) for piece in said))
    return ImpossibleEvidence(
        f"nothing that the book knows gives what was said of {named} together ({refs}).",
        do="Ask one of these again or answer it as fairly sure; the book may lack a cause.",
    )


def _named(ref: Ref) -> str:
    return f"{ref.check}: {ref.answer}" if isinstance(ref, Given) else f"symptom {ref}"


def _by_cause(grounded: Ground, joint: Joint, modes: NDArray[np.bool_]) -> Array:
    """Sum the chosen modes of each cause of the network, shape (causes, rows)."""
    first = grounded.problem.first
    if not len(first):
        return joint.modes
    chosen = np.where(modes[:, None], joint.modes, 0.0)
    return segment_sums(chosen, first)[: len(grounded.network.start)]
