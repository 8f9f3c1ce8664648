"""`benchtrail rank` on random books in YAML equals an enumeration that shares no code with it."""

from __future__ import annotations

import json
from itertools import product
from math import exp, log, prod
from pathlib import Path
from random import Random
from typing import Any

import pytest
import yaml

from screens.cli.main import main

SIGNS = [f"sign_{n}" for n in range(6)]
CAUSES = [f"cause_{n}" for n in range(6)]


def random_book(draw: Random) -> dict[str, Any]:
    """A book with ages, traits, factors by a rule, upsetting layers and checks of two signs."""
    checks = {}
    for n in range(4):
        one, two = draw.sample(SIGNS, 2)
        checks[f"check_{n}"] = draw.choice(
            [
                {"yes_one": {"present": [one]}, "no_one": {}},
                {"both": {"present": [one, two]}, "only": {"present": [one], "absent": [two]},
                 "other": {"present": [two]}, "none": {}},
                {"first": {"present": [one]}, "second": {"present": [two]}, "neither": {}},
            ]
        )  # fmt: skip
    return {
        "family": "tried",
        "says": "Random machines",
        "traits": {"drive": {"ask": "Which?", "one_of": ["belt", "idler"]}},
        "layers": {
            "outside": {},
            "lid": {
                "under": "outside", "open": 2, "close": 3,
                "upsets": {draw.choice(CAUSES): round(draw.uniform(0.01, 0.3), 3)},
            },
        },
        "signs": {s: {"says": s, "leak": round(draw.uniform(0.005, 0.1), 4)} for s in SIGNS},
        "causes": {
            c: {
                "says": c,
                "prior": {20: round(draw.uniform(0.001, 0.2), 4), 50: draw.uniform(0.2, 0.6)},
                "shows": {s: round(draw.uniform(0.1, 0.95), 3) for s in draw.sample(SIGNS, 3)},
                **({"where": {"drive": ["belt"]}} if draw.random() < 0.3 else {}),
                **({"raised_by": {"strap_wrong": 2.5}} if draw.random() < 0.3 else {}),
            }
            for c in CAUSES
        },
        "checks": {
            name: {"ask": "What?", "at": "outside", "minutes": 1, "answers": answers}
            for name, answers in checks.items()
        },
        "symptoms": {"told": {"says": "Told", "signs": draw.sample(SIGNS, 2)}},
        "rules": [
            {"id": "strap", "when": {"fact": "strap_hz", "differs_from": "local_hz"},
             "then": [{"derive": "strap_wrong"}]}
        ],
    }  # fmt: skip


def random_case(draw: Random, book: dict[str, Any]) -> dict[str, Any]:
    """A deck with a complaint, answers of either certainty, and perhaps an opened lid."""
    answers: dict[str, Any] = {}
    for name in draw.sample(sorted(book["checks"]), 2):
        answer = draw.choice(sorted(book["checks"][name]["answers"]))
        sure = draw.random() < 0.5
        answers[name] = answer if sure else {"answer": answer, "sure": "fairly"}
    deck: dict[str, Any] = {"age": draw.choice([15, 20, 33, 50, 60]), "local_hz": 50}
    deck |= draw.choice([{}, {"drive": "belt"}, {"drive": "idler"}])
    deck |= draw.choice([{}, {"strap_hz": 50}, {"strap_hz": 60}])
    case = {"family": "tried", "deck": deck, "symptoms": ["told"], "answers": answers}
    return case | draw.choice([{}, {"opened": ["lid"]}])


def pairs_of(book: dict[str, Any], case: dict[str, Any]) -> dict[str, tuple[float, float]] | None:
    """Likelihoods (absent, present) of each sign; None where certain answers contradict."""
    said: dict[str, list[tuple[float, float]]] = {}
    for name, given in case["answers"].items():
        answer = given if isinstance(given, str) else given["answer"]
        above: list[str] = []
        for other, body in book["checks"][name]["answers"].items():
            if other == answer:
                break
            above += body.get("present", [])
        body = book["checks"][name]["answers"][answer]
        states = dict.fromkeys([*above, *body.get("absent", [])], False)
        states |= dict.fromkeys(body.get("present", []), True)
        low, high = (0.0, 1.0) if isinstance(given, str) else (0.2, 0.8)
        for sign, there in states.items():
            said.setdefault(sign, []).append((low, high) if there else (high, low))
    for sign in book["symptoms"]["told"]["signs"]:
        said.setdefault(sign, [(0.1, 0.9)])
    joined = {s: (prod(a for a, _ in each), prod(b for _, b in each)) for s, each in said.items()}
    return joined if all(a + b > 0 for a, b in joined.values()) else None


def prior_of(book: dict[str, Any], case: dict[str, Any], cause: str) -> float:
    """The prior by age on log-odds, times factors on odds, joined with what opening upsets."""
    entry, deck = book["causes"][cause], case["deck"]
    if deck.get("drive", "belt") not in entry.get("where", {}).get("drive", ["belt", "idler"]):
        return 0.0
    low, high = (log(p / (1 - p)) for p in (entry["prior"][20], entry["prior"][50]))
    share = min(max((deck["age"] - 20) / 30, 0.0), 1.0)
    odds = exp(low + share * (high - low))
    if "raised_by" in entry and deck.get("strap_hz", 50) != 50:
        odds *= entry["raised_by"]["strap_wrong"]
    p = odds / (1 + odds)
    upset = book["layers"]["lid"]["upsets"].get(cause, 0.0) if "opened" in case else 0.0
    return float(1 - (1 - p) * (1 - upset))


def enumerate_all(book: dict[str, Any], case: dict[str, Any]) -> tuple[float, dict[str, float]]:
    """Probability of the evidence and of each cause, over all sets of causes."""
    pairs = pairs_of(book, case)
    assert pairs is not None
    priors = {c: prior_of(book, case, c) for c in CAUSES}
    total, mass = 0.0, dict.fromkeys(CAUSES, 0.0)
    for world in product((False, True), repeat=len(CAUSES)):
        there = {c for c, is_there in zip(CAUSES, world, strict=True) if is_there}
        p = prod(priors[c] if c in there else 1 - priors[c] for c in CAUSES)
        for sign, (absent, present) in pairs.items():
            quiet = 1 - book["signs"][sign]["leak"]
            quiet *= prod(1 - book["causes"][c]["shows"].get(sign, 0.0) for c in there)
            p *= quiet * absent + (1 - quiet) * present
        total += p
        for c in there:
            mass[c] += p
    return total, {c: m / total for c, m in mass.items()}


@pytest.mark.parametrize("seed", range(30))
def test_rank_equals_enumeration(
    seed: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Ranking, order and log evidence of the JSON agree with brute force to 1e-12."""
    draw = Random(seed)
    book = random_book(draw)
    case = random_case(draw, book)
    while pairs_of(book, case) is None:
        case = random_case(draw, book)
    folder = tmp_path / "tried"
    folder.mkdir()
    (folder / "family.yaml").write_text(yaml.safe_dump(book, sort_keys=False))
    (tmp_path / "case.yaml").write_text(yaml.safe_dump(case, sort_keys=False))
    code = main(["rank", str(tmp_path / "case.yaml"), "--json", "--knowledge", str(tmp_path)])
    found = json.loads(capsys.readouterr().out)
    evidence, causes = enumerate_all(book, case)
    assert code == 0
    assert found["log_evidence"] == pytest.approx(log(evidence), abs=1e-12)
    ranked = [cause["probability"] for cause in found["causes"]]
    assert ranked == sorted(ranked, reverse=True)
    told = {cause["id"]: cause["probability"] for cause in found["causes"]}
    assert set(told) == set(CAUSES)
    for cause, probability in told.items():
        assert probability == pytest.approx(causes[cause], abs=1e-12)
