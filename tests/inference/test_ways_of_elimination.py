"""However factors are made and multiplied, the numbers are the same, and right."""

from __future__ import annotations

import tracemalloc
from random import Random

import numpy as np
import pytest

from diag.inference import elimination, factors, passes, products
from diag.inference.joint import Joint, log_mass_rows, repeated, solve_rows
from diag.inference.problem import Mode, Problem
from diag.inference.values import Array

ROWS = 5
SEEDS = range(40)


def drawn(seed: int) -> Problem:
    """Causes of up to four modes with triggers of one to three bits, evidence for and against.

    Four more causes set some of the first four bits only, against which the evidence speaks.
    """
    draw = Random(seed)
    bits = draw.randint(7, 11)
    causes = []
    for _ in range(draw.randint(6, 14)):
        masks = list({_mask(draw, bits) for _ in range(draw.randint(1, 6))})
        modes = [Mode(draw.random(), _triggers(draw, masks)) for _ in range(draw.randint(1, 3))]
        causes.append((Mode(draw.random()), *modes))
    for mask in (0b1111, 0b0011, 0b0101, 0b1110):
        alone = [1 << bit for bit in range(4) if mask >> bit & 1]
        causes.append((Mode(0.7), Mode(0.3, tuple((draw.random(), bit) for bit in alone))))
    against, in_favour = [0.0, 0.05, 0.4, 1.0], [0.02, 0.3, 1.0]
    pairs = [(draw.uniform(0.5, 1.0), draw.uniform(0.0, 0.5)) for _ in range(4)]
    pairs += [(draw.choice(against), draw.choice(in_favour)) for _ in range(bits - 4)]
    return Problem(tuple(causes), tuple(pairs))


def _mask(draw: Random, bits: int) -> int:
    return sum(1 << bit for bit in draw.sample(range(bits), draw.choice([1, 1, 1, 2, 3])))


def _triggers(draw: Random, masks: list[int]) -> tuple[tuple[float, int], ...]:
    chosen = draw.sample(masks, draw.randint(1, len(masks)))
    return tuple((draw.choice([0.2, 0.7, 1.0]), mask) for mask in chosen)


def rows_of(problem: Problem) -> tuple[Array, Array, Array]:
    """As given, the same again, and with other fires, other weights and other pairs only."""
    weights, fires, pairs = repeated(problem, ROWS)
    luck = np.random.default_rng(1)
    fires[:-1, 2] *= luck.uniform(0.5, 1.0, len(fires) - 1)
    weights[:, 3] *= luck.uniform(0.1, 1.0, len(weights))
    pairs[..., 4] *= luck.uniform(0.5, 1.0, pairs.shape[:2])
    return weights, fires, pairs


def solved(problem: Problem) -> tuple[Joint, Array]:
    """The rows with the way back, and without."""
    rows = rows_of(problem)
    return solve_rows(problem, *rows), log_mass_rows(problem, *rows)


def masses(problem: Problem, row: int) -> tuple[float, Array]:
    """The mass of one row, and that of each mode with it: all states of all bits, cause by cause.

    Forward over the causes before a cause, and on with each of its modes alone.
    """
    weights, fires, pairs = (numbers[..., row] for numbers in rows_of(problem))
    states = np.arange(1 << len(pairs))
    ends = np.ones(len(states))
    for bit, (absent, present) in enumerate(pairs):
        ends *= np.where(states >> bit & 1, present, absent)
    laid = [problem.laid(cause) for cause in range(len(problem.causes))]

    def through(mass: Array, number: int, links: tuple[tuple[int, int], ...]) -> Array:
        mass = mass * weights[number]
        for slot, mask in links:
            moved = np.zeros_like(mass)
            np.add.at(moved, states | mask, fires[slot] * mass)
            mass = (1 - fires[slot]) * mass + moved
        return mass

    def after(mass: Array, causes: list[object]) -> float:
        for cause in causes:
            mass = sum(through(mass, number, links) for number, links in cause)  # type: ignore
        return float(mass @ ends)

    start = np.where(states == 0, 1.0, 0.0)
    found = np.zeros(len(weights))
    for at, cause in enumerate(laid):
        for number, links in cause:
            found[number] = after(through(start, number, links), [*laid[:at], *laid[at + 1 :]])
    return after(start, [*laid]), found


@pytest.mark.parametrize("seed", SEEDS[:10])
def test_masses_are_those_of_all_states(seed: int) -> None:
    """The log mass of every row, and the share of every mode, against all states of all bits."""
    problem = drawn(seed)
    joint, _ = solved(problem)
    for row in range(ROWS):
        mass, modes = masses(problem, row)
        if not mass:
            assert joint.log_mass[row] == -np.inf
            continue
        assert joint.log_mass[row] == pytest.approx(np.log(mass), rel=0, abs=1e-11)
        assert joint.modes[:, row] == pytest.approx(modes / mass, rel=0, abs=1e-11)


WAYS = {
    "tables only": {(factors, "MOVED"): 99, (factors, "BROAD"): 99},
    "every trigger fired": {(factors, "MOVED"): -1, (factors, "BROAD"): 0},
    "axis by axis": {(products, "SMALL"): 0},
    "from check points": {(passes, "TAPE"): 1},
    "after a long search": {(elimination, "TRY"): 0},
}


@pytest.mark.parametrize("way", WAYS)
def test_numbers_do_not_depend_on_the_way(way: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Shares of modes and the log mass of each row agree to rounding, on all drawn problems."""
    problems = [drawn(seed) for seed in SEEDS]
    usual = [solved(problem) for problem in problems]
    for (module, name), value in WAYS[way].items():
        monkeypatch.setattr(module, name, value)
    for problem, (joint, forward) in zip(problems, usual, strict=True):
        other, other_forward = solved(Problem(problem.causes, problem.pairs))
        assert other.log_mass == pytest.approx(joint.log_mass, rel=0, abs=1e-12)
        assert other_forward == pytest.approx(forward, rel=0, abs=1e-12)
        assert forward == pytest.approx(joint.log_mass, rel=0, abs=1e-12)
        has_mass = joint.log_mass > -np.inf
        assert other.modes[:, has_mass] == pytest.approx(joint.modes[:, has_mass], abs=1e-12)


def test_drawn_problems_take_every_way() -> None:
    """The problems above have large components, shared tables, and fired causes."""
    found = [(problem.factors, problem.width) for problem in map(drawn, SEEDS)]
    assert max(width for _, width in found) >= 8
    assert any(len(factor.causes) >= 4 for every, _ in found for factor in every)
    assert any(not factor.is_table for every, _ in found for factor in every)
    assert any(len(f.causes) == 1 and f.is_table for every, _ in found for f in every)


def test_check_points_keep_memory_low(monkeypatch: pytest.MonkeyPatch) -> None:
    """A wide problem of many steps takes less than half of the memory, run from check points."""
    draw = Random(4)
    causes = tuple(
        (Mode(0.9), Mode(0.1, tuple((draw.random(), 1 << b) for b in draw.sample(range(13), 4))))
        for _ in range(90)
    )
    problem = Problem(causes, tuple((0.1, 0.9) for _ in range(13)))
    rows = repeated(problem)
    peaks = []
    for tape in (1 << 40, 1):
        monkeypatch.setattr(passes, "TAPE", tape)
        solve_rows(problem, *(numbers.copy() for numbers in rows))
        tracemalloc.start()
        solve_rows(problem, *(numbers.copy() for numbers in rows))
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[1] < peaks[0] / 2
