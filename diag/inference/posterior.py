"""The probability of every cause, given all that was said."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.errors import ImpossibleEvidence, InferenceError
from diag.inference.evidence import Ref
from diag.inference.ground import Ground, ground
from diag.inference.joint import Joint, solve_rows
from diag.inference.network import Network
from diag.inference.sweep import Array
from diag.model.history import Given

WIDEST = 21
"""The widest frontier that is swept: two seconds and 300 MB; each more doubles both."""


@dataclass(frozen=True, slots=True)
class Posterior:
    """What is known of a deck's causes.

    Attributes:
        causes: the probability that each cause is present now.
        log_odds: the natural log-odds of the same; exact where a probability rounds to 1.
        log_evidence: the natural logarithm of the probability of the evidence.
        width: open bits at the widest point of the sweep.
        bounds: None, as every answer is exact.
        ground: the numbered problem, from which further questions are answered.
    """

    causes: Mapping[str, float]
    log_odds: Mapping[str, float]
    log_evidence: float
    width: int
    bounds: Mapping[str, tuple[float, float]] | None
    ground: Ground


def solve(network: Network) -> Posterior:
    """The exact posterior.

    Raises:
        ImpossibleEvidence: no state of the deck gives these answers.
        InferenceError: too many signs hang together for an exact answer.
    """
    grounded = ground(network)
    problem = grounded.problem
    check_width(problem.width)
    joint = solve_rows(
        problem,
        problem.weights[:, None],
        problem.fires[:, None],
        np.array(problem.pairs).reshape(-1, 2, 1),
    )
    if joint.log_mass[0] == -np.inf:
        raise impossible(grounded, joint)
    now, absent = (
        _by_cause(grounded, joint, side)[:, 0] for side in (grounded.is_now, ~grounded.is_now)
    )
    with np.errstate(divide="ignore"):
        log_odds = np.log(now) - np.log(absent)
    return Posterior(
        causes=dict(zip(network.courses, now.tolist(), strict=True)),
        log_odds=dict(zip(network.courses, log_odds.tolist(), strict=True)),
        log_evidence=float(joint.log_mass[0]) + grounded.constant,
        width=problem.width,
        bounds=None,
        ground=grounded,
    )


def present_now(grounded: Ground, joint: Joint) -> Array:
    """Probability that each cause of the network is present now, shape (causes, rows)."""
    return _by_cause(grounded, joint, grounded.is_now)


def check_width(width: int) -> None:
    """Refuse a sweep that would take too long or too much memory.

    Raises:
        InferenceError: the frontier is too wide.
    """
    if width > WIDEST:
        raise InferenceError(
            f"{width} signs that are present or doubtful hang together through shared causes;"
            f" an exact answer is given up to {WIDEST}.",
            do="Strike answers that add little, or settle doubtful ones by asking again.",
        )


def impossible(grounded: Ground, joint: Joint) -> ImpossibleEvidence:
    """The error that names the signs which can't be as they were said to be, and who said so."""
    spots = list(grounded.bits)
    signs = {spots[bit][0] for bit in joint.impossible} or {sign for sign, _ in grounded.absent}
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
    summed: Array = np.add.reduceat(chosen, first, axis=0)
    return summed[: len(grounded.network.courses)]
