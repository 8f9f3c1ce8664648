"""However factors are made and multiplied, the numbers are the same."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from diag.inference import elimination, factors, products, sweep
from diag.inference.joint import Joint, log_mass_rows, repeated, solve_rows
from diag.inference.problem import Mode, Problem

ROWS = 5


def drawn(seed: int) -> Problem:
    """Causes of up to four modes with triggers of one to three bits, evidence for and against."""
    draw = Random(seed)
    bits = draw.randint(6, 11)
    causes = []
    for _ in range(draw.randint(6, 16)):
        masks = list({_mask(draw, bits) for _ in range(draw.randint(1, 6))})
        modes = [Mode(draw.random(), _triggers(draw, masks)) for _ in range(draw.randint(1, 3))]
        causes.append((Mode(draw.random()), *modes))
    pairs = [
        (draw.choice([0.0, 0.05, 0.4, 1.0]), draw.choice([0.02, 0.3, 1.0])) for _ in range(bits)
    ]
    return Problem(tuple(causes), tuple(pairs))


def _mask(draw: Random, bits: int) -> int:
    return sum(1 << bit for bit in draw.sample(range(bits), draw.choice([1, 1, 1, 2, 3])))


def _triggers(draw: Random, masks: list[int]) -> tuple[tuple[float, int], ...]:
    chosen = draw.sample(masks, draw.randint(1, len(masks)))
    return tuple((draw.choice([0.2, 0.7, 1.0]), mask) for mask in chosen)


def solved(problem: Problem) -> tuple[Joint, np.ndarray]:
    """Some rows with other weights, fires and pairs, with the way back and without."""
    weights, fires, pairs = repeated(problem, ROWS)
    luck = np.random.default_rng(1)
    weights[:, 1:] *= luck.uniform(0.1, 1.0, weights[:, 1:].shape)
    fires[:-1, 2:] *= luck.uniform(0.5, 1.0, fires[:-1, 2:].shape)
    pairs[..., 3:] *= luck.uniform(0.5, 1.0, pairs[..., 3:].shape)
    return solve_rows(problem, weights, fires, pairs), log_mass_rows(problem, weights, fires, pairs)


WAYS = {
    "tables only": {(factors, "MOVED"): 99, (factors, "BROAD"): 99},
    "every trigger fired": {(factors, "MOVED"): -1, (factors, "BROAD"): 0},
    "axis by axis": {(products, "SMALL"): 0},
    "from check points": {(sweep, "TAPE"): 1},
    "after a long search": {(elimination, "TRY"): 0},
}


@pytest.mark.parametrize("way", WAYS)
def test_numbers_do_not_depend_on_the_way(way: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Masses of modes and the log mass of each row agree to rounding, on forty drawn problems."""
    problems = [drawn(seed) for seed in range(40)]
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
    found = [(problem.factors, problem.width) for problem in map(drawn, range(40))]
    assert max(width for _, width in found) >= 8
    assert any(len(factor.causes) > 1 for every, _ in found for factor in every)
    assert any(not factor.is_table for every, _ in found for factor in every)
    assert any(factor.is_table for every, _ in found for factor in every)
