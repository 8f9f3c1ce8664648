"""Figures of a comparison, with how sure they are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.errors import SimulationError
from diag.planning.simulation.calibration import Calibration, calibration
from diag.planning.simulation.compare import CLAIRVOYANT, Tried
from diag.planning.simulation.run import MOST_STEPS, Run

PLANNER = "planner"
RESAMPLES = 2000
"""Bootstrap samples of decks, with replacement, for an interval of 95 %."""
TOO_LONG = 10.0
"""Times the clairvoyant's minutes after which a deck counts as lost in a loop."""

Floats = NDArray[np.float64]
Interval = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class PolicyScore:
    """How a policy did on the decks all of whose faults the book knows.

    Minutes are those to all faults mended: for a deck that was called well with faults left, the
    minutes of a clairvoyant's second visit are added. Intervals hold 95 %. `unnecessary` counts
    remedies that had nothing to mend. `loops` counts, over all decks, those that took more than
    `TOO_LONG` times the clairvoyant's minutes, or had no end, and were not called outside the book.
    `ratio_at_own_rate` charges that second visit at the rate of the first, not at a clairvoyant's,
    so that leaving much behind gains nothing: the minutes over those of a clairvoyant for the
    faults that were mended. `planner_ratio` is the planner's minutes over this policy's, where the
    planner took part.
    """

    mean_minutes: float
    mean_interval: Interval
    p90_minutes: float
    ratio_to_clairvoyant: float
    ratio_interval: Interval
    ratio_at_own_rate: float
    all_mended_share: float
    faults_left: float
    unnecessary: float
    steps: float
    called_outside_share: float
    gave_up_share: float
    loops: int
    planner_ratio: float | None
    planner_ratio_interval: Interval | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """A whole comparison.

    `strange_called_outside` is, by policy, the share of decks with an unknown fault that were
    called outside the book; empty if there was none.
    """

    decks: int
    strange_decks: int
    mean_faults: float
    policies: Mapping[str, PolicyScore]
    strange_called_outside: Mapping[str, float]
    calibration: Calibration


def score(tried: Sequence[Tried]) -> Score:
    """The figures of a comparison.

    Raises:
        SimulationError: no deck had only faults that the book knows.
    """
    known = [t for t in tried if not t.is_strange]
    strange = [t for t in tried if t.is_strange]
    if not known:
        raise SimulationError(
            "every deck drawn had a fault that the book doesn't know.", do="Draw more decks."
        )
    names = list(known[0].runs)
    return Score(
        decks=len(tried),
        strange_decks=len(strange),
        mean_faults=float(np.mean([t.faults for t in known])),
        policies={name: _policy(name, known, tried) for name in names},
        strange_called_outside={
            name: float(np.mean([t.runs[name].end == "outside" for t in strange]))
            for name in names
            if strange and name != CLAIRVOYANT
        },
        calibration=calibration([pair for t in known for pair in t.stated]),
    )


def _policy(name: str, known: Sequence[Tried], tried: Sequence[Tried]) -> PolicyScore:
    minutes, base = _minutes(known, name), _minutes(known, CLAIRVOYANT)
    runs = [t.runs[name] for t in known]
    quotient, interval = _ratio(minutes, base)
    against = _ratio(_minutes(known, PLANNER), minutes) if PLANNER in known[0].runs else None
    means = _resampled(minutes).mean(axis=1)
    return PolicyScore(
        mean_minutes=float(minutes.mean()),
        mean_interval=_interval(means),
        p90_minutes=float(np.quantile(minutes, 0.9)),
        ratio_to_clairvoyant=quotient,
        ratio_interval=interval,
        ratio_at_own_rate=_at_own_rate(runs, base),
        all_mended_share=float(np.mean([not r.left for r in runs])),
        faults_left=float(np.mean([len(r.left) for r in runs])),
        unnecessary=float(np.mean([r.wasted for r in runs])),
        steps=float(np.mean([r.steps for r in runs])),
        called_outside_share=float(np.mean([r.end == "outside" for r in runs])),
        gave_up_share=float(np.mean([r.end == "gave up" for r in runs])),
        loops=sum(_loops(t, name) for t in tried),
        planner_ratio=against[0] if against else None,
        planner_ratio_interval=against[1] if against else None,
    )


def _at_own_rate(runs: Sequence[Run], base: Floats) -> float:
    """The ratio R for which R times the clairvoyant's minutes is what both visits take.

    A visit takes R times what a clairvoyant takes for it: R = first visits / (all - left).
    """
    first = sum(run.minutes for run in runs)
    mended = float(base.sum()) - sum(run.comeback_minutes for run in runs)
    return first / mended if mended > 0 else float("inf")


def _loops(tried: Tried, name: str) -> bool:
    run, base = tried.runs[name], tried.runs[CLAIRVOYANT]
    endless = run.steps >= MOST_STEPS or run.minutes > TOO_LONG * base.minutes
    return run.end != "outside" and endless


def _minutes(tried: Sequence[Tried], name: str) -> Floats:
    return np.array([t.runs[name].all_minutes for t in tried])


def _ratio(minutes: Floats, base: Floats) -> tuple[float, Interval]:
    sampled = _resampled(minutes).sum(axis=1) / _resampled(base).sum(axis=1)
    return float(minutes.sum() / base.sum()), _interval(sampled)


def _resampled(values: Floats) -> Floats:
    """Bootstrap samples, shape (resamples, decks); the same decks for every policy."""
    draw = np.random.default_rng(0).integers(len(values), size=(RESAMPLES, len(values)))
    return values[draw]


def _interval(values: Floats) -> Interval:
    low, high = np.quantile(values, [0.025, 0.975])
    return float(low), float(high)
