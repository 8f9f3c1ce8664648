"""Whether chances are what they say: of all that was called 30 %, three in ten should be there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.errors import SimulationError
from diag.model.book import Book
from diag.planning.led import intake_step
from diag.planning.simulation.bench import CANT_TELL, Bench
from diag.planning.simulation.drawn_deck import DrawnDeck

BINS = 15
"""Bins of equal mass for the reliability table."""

Stated = tuple[float, bool]
"""What was stated of a cause, and whether it was there."""


@dataclass(frozen=True, slots=True)
class Bin:
    """Causes of like chance: the mean that was stated, the share that was there, how many."""

    stated: float
    true: float
    count: int


@dataclass(frozen=True, slots=True)
class Calibration:
    """Quality of the chances.

    `brier` is the mean squared difference of chance and truth (0 is best); `brier_prior` the same
    for somebody who always states the share of causes that are there. `ece`, the expected
    calibration error, is the mean difference of stated and true share over `bins` of equal mass.
    """

    brier: float
    brier_prior: float
    ece: float
    bins: tuple[Bin, ...]


def stated_after_intake(
    book: Book, drawn: DrawnDeck, cant_tell: float = CANT_TELL, believed: Book | None = None
) -> tuple[Stated, ...]:
    """The chance of every cause when complaints and intake are in, and whether it is there.

    This is where chances matter most and where complaints weigh most in them.
    """
    bench = Bench(book, drawn, cant_tell, believed)
    at = bench.situation()
    while (step := intake_step(at)) is not None:
        bench.take(step)
        at = bench.situation()
    return tuple((p, cause in drawn.causes) for cause, p in at.now.causes.items())


def calibration(stated: Sequence[Stated]) -> Calibration:
    """Brier score, expected calibration error and reliability table of stated chances.

    Raises:
        SimulationError: nothing was stated.
    """
    if not stated:
        raise SimulationError("no chance was stated, so that none can be judged.")
    pairs: NDArray[np.float64] = np.array(stated, dtype=float)
    chance, truth = pairs[np.argsort(pairs[:, 0], kind="stable")].T
    parts = [p for p in np.array_split(np.arange(len(chance)), BINS) if len(p)]
    bins = tuple(
        Bin(float(chance[part].mean()), float(truth[part].mean()), len(part)) for part in parts
    )
    off = sum(each.count * abs(each.stated - each.true) for each in bins)
    return Calibration(
        brier=float(((chance - truth) ** 2).mean()),
        brier_prior=float(truth.var()),
        ece=off / len(chance),
        bins=bins,
    )
