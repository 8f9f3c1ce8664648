"""What it would say of every cause that another one was there from the start."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from diag.inference.joint import repeated, solve_rows
from diag.inference.posterior import Posterior, present_now
from diag.inference.values import Array


@dataclass(frozen=True, slots=True)
class FromStart:
    """Causes now, together with chosen causes when the deck came to the bench.

    Attributes:
        causes: all causes, in the order of the rows of `together`.
        chosen: the causes that are taken as there from the start.
        chance: probability of each of those given the evidence, shape (chosen,).
        together: probability given the evidence that a cause is there now and a chosen one was at
            the start, shape (causes, chosen).
    """

    causes: tuple[str, ...]
    chosen: tuple[str, ...]
    chance: Array
    together: Array


def from_start(posterior: Posterior, chosen: Sequence[str]) -> FromStart:
    """Solve once for each chosen cause, with only those of its courses that begin with it.

    The courses of a cause are linear in the probability with which it starts, so that these
    numbers tell what becomes of the posterior with any other. They are exact if the posterior is.
    """
    ground = posterior.ground
    problem = ground.problem
    weights, fires, pairs = repeated(problem, 1 + len(chosen))
    for column, (cause, shares) in enumerate(_begun(posterior, chosen).items(), start=1):
        first = problem.first[ground.order[cause]]
        weights[first : first + len(shares), column] *= shares
    joint = solve_rows(problem, weights, fires, pairs)
    chance = np.minimum(np.exp(joint.log_mass - joint.log_mass[0])[1:], 1.0)
    present = np.where(chance > 0, present_now(ground, joint)[:, 1:], 0.0)
    return FromStart(tuple(posterior.causes), tuple(chosen), chance, present * chance)


def _begun(posterior: Posterior, chosen: Sequence[str]) -> dict[str, Array]:
    """For each chosen cause, the share of each course's weight that began with the cause."""
    network = posterior.ground.network
    certain = replace(network, start=dict.fromkeys(chosen, 1.0))
    found = {}
    for cause in chosen:
        begun = network.start[cause] * np.array(
            [course.weight for course in certain.courses_of(cause)]
        )
        whole = np.array([course.weight for course in network.courses_of(cause)])
        found[cause] = np.divide(begun, whole, out=np.zeros_like(begun), where=whole > 0)
    return found
