"""The order of repairs against a published rule."""

from __future__ import annotations

from itertools import permutations
from pathlib import Path

from book_folder import BookFolder

from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.history import History
from diag.model.trait import Deck
from diag.planning.policy import Situation, next_steps

CHANCES = {"a": 0.40, "b": 0.30, "c": 0.20, "d": 0.10}
MINUTES = {"a": 8.0, "b": 3.0, "c": 1.0, "d": 5.0}
SCALE = 0.5
"""Keeps every cause below the chance from which it is mended at once; ratios stay the same."""


def expected_minutes(order: tuple[str, ...]) -> float:
    """Expected minutes until the one fault is found, each action finding its own."""
    spent, expected = 0.0, 0.0
    for name in order:
        spent += MINUTES[name]
        expected += CHANCES[name] * spent
    return expected


def test_repairs_go_by_probability_over_cost(tmp_path: Path) -> None:
    """Independent repairs at one layer are ordered by p/c, which no other order beats.

    Rule: Kadane and Simon, Annals of Statistics 5 (1977). The optimum is found here by going
    through all 24 orders.
    """
    folder = BookFolder(tmp_path)
    folder.put(
        "family.yaml",
        "family: tape\nsays: Machines\nlayers: {outside: {}}\nsigns: {s: {says: s, leak: 0.1}}\n",
    )
    entries = ["causes:"]
    for name, chance in CHANCES.items():
        entries.append(
            f"  {name}: {{says: {name}, prior: {chance * SCALE}, shows: {{}}, "
            f"mended_by: [mend_{name}]}}"
        )
    entries.append("remedies:")
    for name, minutes in MINUTES.items():
        entries.append(
            f"  mend_{name}: {{says: {name}, minutes: {minutes}, at: outside, cures: 1}}"
        )
    folder.put("reels/idler.yaml", "\n".join(entries) + "\n")
    book = folder.read()
    net = network(book, Deck(), History())
    found = next_steps(Situation(book, Deck(), History(), net, solve(net)))
    order = tuple(step.id.removeprefix("mend_") for step in found)
    best = min(permutations(CHANCES), key=expected_minutes)
    assert order == best
    assert abs(expected_minutes(order) - 7.9) < 1e-12
