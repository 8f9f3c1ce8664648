"""A comparison as plain values for JSON."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from diag.planning.simulation.compare import Trial
from diag.planning.simulation.score import Score


def json_form(trial: Trial, score: Score) -> dict[str, Any]:
    """What was tried and what came out; minutes are minutes, shares lie between 0 and 1."""
    return {
        "decks": score.decks,
        "seed": trial.seed,
        "cant_tell": trial.cant_tell,
        "misjudged": trial.misjudged,
        "symptom": trial.kind.symptom,
        "mean_faults": score.mean_faults,
        "policies": {name: asdict(each) for name, each in score.policies.items()},
        "strange_decks": score.strange_decks,
        "strange_called_outside": dict(score.strange_called_outside),
        "calibration": asdict(score.calibration),
    }
