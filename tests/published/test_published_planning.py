"""The order of repairs against published rules."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import permutations
from pathlib import Path

import pytest
from book_folder import BookFolder

from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.history import History
from diag.model.trait import Deck
from diag.planning.policy import next_steps
from diag.planning.situation import Situation

CHANCES = {"a": 0.40, "b": 0.30, "c": 0.20, "d": 0.10}
MINUTES = {"a": 8.0, "b": 3.0, "c": 1.0, "d": 5.0}
SCALE = 0.3
"""Keeps every cause below the chance from which it is mended at once; ratios stay the same."""


def expected_minutes(order: tuple[str, ...]) -> float:
    """Expected minutes until the one fault is found, each action finding its own."""
    spent, expected = 0.0, 0.0
    for name in order:
        spent += MINUTES[name]
        expected += CHANCES[name] * spent
    return expected


def order_of_repairs(
    folder: BookFolder, chances: Mapping[str, float], minutes: Mapping[str, float]
) -> tuple[str, ...]:
    """The order in which the planner lists a sure repair of each cause, all at the open layer."""
    folder.put(
        "family.yaml",
        "family: tape\nsays: Machines\nlayers: {outside: {}}\nsigns: {s: {says: s, leak: 0.1}}\n",
    )
    entries = ["causes:"]
    for name, chance in chances.items():
        entries.append(
            f"  {name}: {{says: {name}, prior: {chance * SCALE}, shows: {{}}, "
            f"mended_by: [mend_{name}]}}"
        )
    entries.append("remedies:")
    for name, spent in minutes.items():
        entries.append(f"  mend_{name}: {{says: {name}, minutes: {spent}, at: outside, cures: 1}}")
    folder.put("reels/idler.yaml", "\n".join(entries) + "\n")
    book = folder.read()
    net = network(book, Deck(), History())
    found = next_steps(Situation(book, Deck(), History(), net, solve(net)))
    return tuple(step.id.removeprefix("mend_") for step in found)


def test_repairs_go_by_probability_over_cost(tmp_path: Path) -> None:
    """Independent repairs at one layer are ordered by p/c, which no other order beats.

    Rule, published: Kadane and Simon, Annals of Statistics 5 (1977). The optimum is found here by
    going through all 24 orders; 10.6 by probability alone, 9.1 by cost alone and 13.9 at worst are
    computed, too.
    """
    order = order_of_repairs(BookFolder(tmp_path), CHANCES, MINUTES)
    costs = {tried: expected_minutes(tried) for tried in permutations(CHANCES)}
    assert order == min(costs, key=lambda tried: costs[tried])
    assert costs[order] == pytest.approx(7.9, abs=1e-12)
    assert max(costs.values()) == pytest.approx(13.9, abs=1e-12)
    assert costs[tuple(sorted(CHANCES, key=lambda n: -CHANCES[n]))] == pytest.approx(10.6)
    assert costs[tuple(sorted(CHANCES, key=lambda n: MINUTES[n]))] == pytest.approx(9.1)


@pytest.mark.parametrize("share", [0.1, 0.3, 0.49, 0.51, 0.7, 0.9])
@pytest.mark.parametrize("minutes", [(2.0, 6.0), (9.0, 3.0), (4.0, 4.0)])
def test_first_of_two_causes(tmp_path: Path, share: float, minutes: tuple[float, float]) -> None:
    """Of two causes of which one is there, the first is tried first exactly if (1-p)C1 <= pC2.

    Problem, published in a set of mathematics problems; its condition is computed. The cost of the
    repair itself falls out, so that C1 and C2 are what it costs to try each.
    """
    first, second = minutes
    order = order_of_repairs(
        BookFolder(tmp_path), {"one": share, "two": 1 - share}, {"one": first, "two": second}
    )
    assert order[0] == ("one" if (1 - share) * first <= share * second else "two")
