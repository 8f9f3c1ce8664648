"""Diagnosis candidates after each probe, on the circuit of three multipliers and two adders.

De Kleer and Williams, Artificial Intelligence 32 (1987): multipliers M1, M2, M3 give X, Y and Z,
adders A1 and A2 give F = X + Y and G = Y + Z. Each of F and G should be 12; F is 10, and G is 12.

A conflict is a set of parts that can't all be well. It is a sign that each of them shows for
certain and that has no leak, and it is present; a set of faults is possible if every conflict has
one of them in it. A probe adds conflicts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import product
from math import exp

import numpy as np
import pytest
from oracles import ANY_DECK, answer, book_of

from diag.inference.network import Network, network
from diag.inference.posterior import solve
from diag.inference.what_if import what_if
from diag.model.book import Book
from diag.model.history import History
from diag.planning.policy import next_steps
from diag.planning.situation import Situation

PARTS = ("M1", "M2", "M3", "A1", "A2")
FAULTY = 0.01
"""Prior of each fault; of the project's reference values, computed by enumeration."""

SEEN = ({"A1", "M1", "M2"}, {"A1", "A2", "M1", "M3"})
"""Conflicts of F 10 and G 12; published: the second of them seen, the first from memory."""

PROBES: Mapping[str, tuple[set[str], ...]] = {
    "none": (),
    "X = 4": ({"M1"},),
    "X = 6": ({"A1", "M2"}, {"A1", "A2", "M3"}),
    "Y = 6": ({"A1", "M1"},),
    "Y = 4": ({"M2"}, {"A2", "M3"}),
    "Z = 6": ({"A1", "A2", "M1"},),
    "Z = 8": ({"M3"}, {"A2", "M2"}),
}
"""What each probe adds; worked out by hand from the values that well parts would give."""

CANDIDATES: Mapping[str, list[set[str]]] = {
    # Published (the paper's own first step, from memory; reproduced by enumeration).
    "none": [{"A1"}, {"M1"}, {"A2", "M2"}, {"M2", "M3"}],
    # Published, seen in lecture slides on the paper.
    "X = 4": [{"M1"}],
    "X = 6": [{"A1"}, {"M2", "M3"}, {"A2", "M2"}],
    # Computed by enumeration of the circuit, not published.
    "Y = 6": [{"A1"}, {"M1"}],
    "Y = 4": [{"M2", "M3"}, {"A2", "M2"}],
    "Z = 6": [{"A1"}, {"M1"}, {"A2", "M2"}],
    "Z = 8": [{"M2", "M3"}, {"A2", "M1", "M3"}, {"A1", "A2", "M3"}],
}


def circuit(probe: str) -> tuple[Book, History]:
    """A book with one sign for each conflict and one for each part's own fault, and the answers."""
    conflicts = {f"conflict{n}": parts for n, parts in enumerate((*SEEN, *PROBES[probe]))}
    signs = {**conflicts, **{f"{part}_bad": {part} for part in PARTS}}
    shows = {part: {s: 1.0 for s, parts in signs.items() if part in parts} for part in PARTS}
    book = book_of(shows, dict.fromkeys(PARTS, FAULTY), dict.fromkeys(signs, 0.0))
    return book, History((), tuple(answer(conflict, True) for conflict in conflicts))


def chance_of_each_set(net: Network) -> dict[frozenset[str], float]:
    """The chance that exactly these parts are faulty, for every set that has one."""
    states = list(product((False, True), repeat=len(PARTS)))
    rows = [{f"{p}_bad": bad for p, bad in zip(PARTS, state, strict=True)} for state in states]
    found = what_if(net, rows).probability
    sets = [frozenset(p for p, bad in zip(PARTS, s, strict=True) if bad) for s in states]
    return {parts: float(p) for parts, p in zip(sets, found, strict=True) if p > 1e-12}


def minimal(sets: Iterable[frozenset[str]]) -> set[frozenset[str]]:
    """Those that hold no other."""
    known = list(sets)
    return {parts for parts in known if not any(other < parts for other in known)}


@pytest.mark.parametrize("probe", CANDIDATES)
def test_candidates_after_each_probe(probe: str) -> None:
    """The smallest sets of faults that the engine leaves possible are the printed candidates."""
    book, history = circuit(probe)
    possible = chance_of_each_set(network(book, ANY_DECK, history))
    assert sum(possible.values()) == pytest.approx(1, abs=1e-12)
    assert minimal(possible) == {frozenset(parts) for parts in CANDIDATES[probe]}


def test_chances_of_the_candidates() -> None:
    """The two single faults share the belief, at 0.478026 each, with an entropy of 1.359445 bits.

    Computed by enumeration of the circuit with priors of 0.01, not published: the paper's own
    table of entropies was not found.
    """
    book, history = circuit("none")
    net = network(book, ANY_DECK, history)
    found = chance_of_each_set(net)
    assert found[frozenset({"M1"})] == pytest.approx(0.478026, abs=5e-7)
    assert found[frozenset({"A1"})] == pytest.approx(0.478026, abs=5e-7)
    chances = np.array(list(found.values()))
    assert -(chances @ np.log2(chances)) == pytest.approx(1.359445, abs=5e-7)
    alone = FAULTY * (1 - FAULTY) ** 4
    assert found[frozenset({"M1"})] == pytest.approx(alone / exp(solve(net).log_evidence), rel=1e-9)


def test_chances_of_what_a_probe_of_x_shows() -> None:
    """X is 6 if M1 is well, 4 if M1 must be at fault and the rest says so, else undetermined.

    Computed by enumeration, not published: 0.502365, 0.492561 and 0.005074.
    """
    book, history = circuit("none")
    found = chance_of_each_set(network(book, ANY_DECK, history))
    six = sum(p for parts, p in found.items() if "M1" not in parts)
    # F less Y gives X = 4 where A1 is well and Y is known: from M2, or from G by A2 and M3.
    four = sum(
        p
        for parts, p in found.items()
        if "M1" in parts and "A1" not in parts and ("M2" not in parts or not parts & {"A2", "M3"})
    )
    assert six == pytest.approx(0.502365, abs=5e-7)
    assert four == pytest.approx(0.492561, abs=5e-7)
    assert 1 - six - four == pytest.approx(0.005074, abs=5e-7)


def test_best_next_probe_is_x() -> None:
    """Of probes of X, Y and Z at equal cost, the planner asks for X, as the lecture does.

    Published, seen in lecture slides on the paper. A probe is taken to tell whether its multiplier
    is at fault.
    """
    conflicts = {f"conflict{n}": parts for n, parts in enumerate(SEEN)}
    probes = {"X": {"M1"}, "Y": {"M2"}, "Z": {"M3"}}
    signs = {**conflicts, **probes}
    shows = {part: {s: 1.0 for s, parts in signs.items() if part in parts} for part in PARTS}
    book = book_of(shows, dict.fromkeys(PARTS, FAULTY), dict.fromkeys(signs, 0.0))
    history = History((), tuple(answer(conflict, True) for conflict in conflicts))
    net = network(book, ANY_DECK, history)
    steps = next_steps(Situation(book, ANY_DECK, history, net, solve(net)))
    assert next(step.id for step in steps if step.kind == "check") == "ask_X"
