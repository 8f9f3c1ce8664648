"""What every answer of every check would do, in one batch.

An answer is a conjunction of signs. Absent signs only change weights, so all rows share one
plan; a present sign is the whole less its absence. That subtraction is safe while the answer is
likely enough; the few answers below `DIRECT` are solved one by one as if they had been given.

Where a posterior is wide, the batch would take minutes. Signs are relaxed then, and every row is an
estimate.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp
from typing import TypeAlias

import numpy as np

from diag.errors import ImpossibleEvidence
from diag.inference.evidence import Piece, known
from diag.inference.ground import Ground
from diag.inference.joint import repeated, solve_rows
from diag.inference.network import Network
from diag.inference.posterior import Posterior, estimate, present_now, quick, solve
from diag.inference.segments import segment_sums
from diag.inference.values import Array

DIRECT = 1e-4
"""An answer less likely than this is solved by itself; above, a row is exact to about 1e-11."""

FEW = 4
"""An answer with more present signs than this is solved by itself."""


Term: TypeAlias = tuple[frozenset[str], frozenset[tuple[int, bool]]]
"""What the batch can take: absent signs that have no bit, and bits settled as set or unset."""


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What possible answers would do.

    Attributes:
        causes: the causes, in the order of the columns of `posterior`.
        probability: chance of each row's conjunction given the evidence, shape (rows,).
        posterior: chance that each cause is present now if the row came true, shape
            (rows, causes); the present one for a row that can't come true, or is rare and was
            left out.
        now: chance that each cause is present as things stand, shape (causes,).
        is_estimate: whether these are estimates, as is `now` then; rows compare with it only.
    """

    causes: tuple[str, ...]
    probability: Array
    posterior: Array
    now: Array
    is_estimate: bool


def what_if(
    network: Network,
    rows: Sequence[Mapping[str, bool]],
    posterior: Posterior | None = None,
    *,
    rare: bool = True,
) -> WhatIf:
    """Score possible answers, each a mapping from signs to present or absent.

    Give the `posterior` of the network if it is at hand; it saves solving it again. Without `rare`,
    a row less likely than `DIRECT` gets the present causes as its posterior, which saves most of
    the time and is good enough wherever rows count by their probability.

    Raises:
        UnknownId: a row names a sign that the book doesn't have.
        ImpossibleEvidence: as `solve` does for the network itself.
    """
    whole = posterior or solve(network)
    base = quick(network, whole)
    numbers: dict[Term, int] = {(frozenset(), frozenset()): 0}
    sums = [_terms(base.ground, row) for row in rows]
    summed = {at: terms for at, terms in enumerate(sums) if terms}
    signed = [
        (numbers.setdefault(term, len(numbers)), factor)
        for terms in summed.values()
        for term, factor in terms
    ]
    chance, present = _solve_terms(base.ground, list(numbers))
    probability = np.zeros(len(rows))
    after = np.zeros((len(rows), len(base.causes)))
    if signed:
        # A row has few terms of very many, so that they are gathered instead of multiplied out.
        terms_at, factors = (np.array(column) for column in zip(*signed, strict=True))
        ends = np.cumsum([len(terms) for terms in summed.values()])
        starts, places = np.array([0, *ends[:-1]]), list(summed)
        shares = chance[terms_at] * factors
        probability[places] = np.add.reduceat(shares, starts)
        joint = segment_sums(present.T[terms_at] * shares[:, None], starts)
        with np.errstate(divide="ignore", invalid="ignore"):
            after[places] = joint / probability[places, None]
    for at, terms in enumerate(sums):
        if terms == ():
            probability[at], after[at] = 0.0, list(base.causes.values())
        elif terms is not None and probability[at] < DIRECT and not rare:
            after[at] = list(base.causes.values())
        elif terms is None or probability[at] < DIRECT:
            probability[at], after[at] = _direct(network, base, whole, rows[at])
    return WhatIf(
        causes=tuple(base.causes),
        probability=np.clip(probability, 0, 1),
        posterior=np.clip(after, 0, 1),
        now=np.array(list(base.causes.values())),
        is_estimate=whole.is_wide,
    )


def _terms(ground: Ground, row: Mapping[str, bool]) -> tuple[tuple[Term, int], ...] | None:
    """A row as a signed sum of terms: none if it can't be, None if it is too long."""
    settled: list[tuple[int, bool]] = []
    present: list[str] = []
    absent: list[str] = []
    for sign, is_present in row.items():
        known(sign, ground.network.leaks, "sign")
        spot = (sign, ground.network.now(sign))
        if spot in ground.network.pairs and not ground.network.pairs[spot][is_present]:
            return ()
        if spot in ground.absent:
            continue
        if spot in ground.bits:
            settled.append((ground.bits[spot], is_present))
        elif spot in ground.relaxed and not ground.network.pairs[spot][0]:
            continue
        else:
            (present if is_present else absent).append(sign)
    if len(present) > FEW:
        return None
    sums: list[tuple[frozenset[str], int]] = [(frozenset(absent), 1)]
    for sign in present:
        sums += [(signs | {sign}, -factor) for signs, factor in sums]
    same = frozenset(settled)
    return tuple(((signs, same), factor) for signs, factor in sums)


def _solve_terms(ground: Ground, terms: list[Term]) -> tuple[Array, Array]:
    """Chance of every term (terms,), and of every cause in each (causes, terms).

    The first term says nothing.
    """
    problem = ground.problem
    weights, fires, pairs = repeated(problem, len(terms))
    columns: dict[str, list[int]] = {}
    for column, (absent, settled) in enumerate(terms):
        for sign in absent:
            columns.setdefault(sign, []).append(column)
        for bit, is_set in settled:
            pairs[bit, 0 if is_set else 1, column] = 0
    whole = np.ones(len(terms))
    changes: list[tuple[int, int, float]] = []
    for sign, at in columns.items():
        silencing = ground.silencing(sign)
        changes += [(mode, column, f) for mode, f in silencing.factors for column in at]
        if silencing.slots:
            fires[np.ix_(silencing.slots, at)] = 0
        whole[at] *= silencing.whole
    if changes:
        modes, at_columns, factors = zip(*changes, strict=True)
        np.multiply.at(weights, (np.array(modes), np.array(at_columns)), np.array(factors))
    joint = solve_rows(problem, weights, fires, pairs)
    chance = np.exp(joint.log_mass - joint.log_mass[0]) * whole
    return chance, np.where(chance > 0, present_now(ground, joint), 0.0)


def _direct(
    network: Network, base: Posterior, whole: Posterior, row: Mapping[str, bool]
) -> tuple[float, Array]:
    """Chance of a row and of every cause in it, solved as if the answer had been given."""
    assumed = tuple(
        Piece("", sign, network.now(sign), (0.0, 1.0) if is_present else (1.0, 0.0))
        for sign, is_present in row.items()
    )
    assuming = network.with_pieces(network.pieces + assumed)
    try:
        given = estimate(assuming, base.ground) if whole.is_wide else solve(assuming)
    except ImpossibleEvidence:
        return 0.0, np.array(list(base.causes.values()))
    chance = exp(given.log_evidence - base.log_evidence)
    return chance, np.array(list(given.causes.values()))
