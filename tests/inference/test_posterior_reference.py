"""The posterior against two libraries and against exact fractions, at sizes that a deck has."""

from __future__ import annotations

import importlib
import random
import warnings
from fractions import Fraction
from math import log
from typing import Any

import pytest
from oracles import ANY_DECK, answer, book_of, enumerated

from diag.errors import InferenceError
from diag.inference import sweep
from diag.inference.network import network
from diag.inference.posterior import WIDEST, solve
from diag.inference.what_if import what_if
from diag.model.book import Book
from diag.model.history import History


def random_book(seed: int, causes: int, signs: int, parents: int, top: float = 0.05) -> Book:
    """A book in which every sign has that many causes, with priors up to `top`."""
    drawn = random.Random(seed)
    names = [f"c{number}" for number in range(causes)]
    shows: dict[str, dict[str, float]] = {name: {} for name in names}
    for number in range(signs):
        for name in drawn.sample(names, parents):
            shows[name][f"s{number}"] = drawn.uniform(0.2, 0.95)
    return book_of(
        shows=shows,
        priors={name: drawn.uniform(1e-4, top) for name in names},
        leaks={f"s{number}": drawn.uniform(0.001, 0.02) for number in range(signs)},
    )


def random_history(book: Book, seed: int, present: int, absent: int) -> History:
    """Certain answers on so many signs."""
    asked = random.Random(seed).sample(list(book.signs), present + absent)
    return History((), tuple(answer(sign, at < present) for at, sign in enumerate(asked)))


@pytest.mark.parametrize("seed", range(3))
def test_many_present_signs_at_low_priors_keep_every_digit(seed: int) -> None:
    """With 11 present signs at priors of 1e-4 to 0.05 every digit agrees with exact fractions."""
    book = random_book(seed, causes=9, signs=13, parents=4)
    history = random_history(book, seed, present=11, absent=2)
    exact = enumerated(book, history)
    found = solve(network(book, ANY_DECK, history))
    assert found.log_evidence == pytest.approx(_log(exact.evidence), rel=1e-14)
    for cause, chance in exact.causes.items():
        assert found.causes[cause] == pytest.approx(float(chance), rel=1e-13, abs=0)


def _log(chance: Fraction) -> float:
    return log(chance.numerator) - log(chance.denominator)


def _pyagrum() -> Any:
    """The library; its wrapper warns while it loads, and dies of a warning turned into an error."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return importlib.import_module("pyagrum")


@pytest.mark.parametrize(
    ("causes", "signs", "present", "absent"), [(60, 120, 10, 0), (60, 120, 6, 4), (20, 40, 6, 6)]
)
def test_posterior_equals_pyagrum(causes: int, signs: int, present: int, absent: int) -> None:
    """On networks of deck size every marginal is pyAgrum's to 1e-9."""
    pyagrum = _pyagrum()
    book = random_book(1, causes, signs, parents=4)
    history = random_history(book, 1, present, absent)
    net = pyagrum.BayesNet()
    for cause in book.causes.values():
        net.add(pyagrum.LabelizedVariable(cause.id, "", 2))
        net.cpt(cause.id).fillWith([1 - cause.prior.at(0), cause.prior.at(0)])
    for sign in book.signs.values():
        # The other noisy-OR of that library is the compound form, a different model of the leak.
        net.addNoisyORNet(pyagrum.LabelizedVariable(sign.id, "", 2), sign.leak)
        for cause in book.causes_of[sign.id]:
            chance = book.causes[cause].shows[sign.id]  # type: ignore[index]
            net.addWeightedArc(cause, sign.id, chance)
    engine = pyagrum.LazyPropagation(net)
    said = network(book, ANY_DECK, history)
    engine.setEvidence({sign: int(pair[1]) for (sign, _), pair in said.pairs.items()})
    # With every node a target, as it has it by default, that library runs out of memory.
    engine.setTargets(set(book.causes))
    engine.makeInference()
    found = solve(said)
    for cause in book.causes:
        assert found.causes[cause] == pytest.approx(engine.posterior(cause)[1], abs=1e-9)
    assert found.log_evidence == pytest.approx(log(engine.evidenceProbability()), rel=1e-9)


def test_posterior_equals_pgmpy() -> None:
    """On 8 causes and 12 signs every marginal is pgmpy's to 1e-9."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pgmpy.factors.discrete import TabularCPD
        from pgmpy.inference import VariableElimination
        from pgmpy.models import DiscreteBayesianNetwork

        book = random_book(7, causes=8, signs=12, parents=3, top=0.4)
        history = random_history(book, 7, present=4, absent=4)
        net = DiscreteBayesianNetwork([(c, s) for s, by in book.causes_of.items() for c in by])
        for cause in book.causes.values():
            net.add_cpds(TabularCPD(cause.id, 2, [[1 - cause.prior.at(0)], [cause.prior.at(0)]]))
        for sign in book.signs.values():
            parents = book.causes_of[sign.id]
            absent = [1 - sign.leak]
            for cause_id in parents:
                chance = book.causes[cause_id].shows[sign.id]  # type: ignore[index]
                absent = [p * silent for p in absent for silent in (1, 1 - chance)]
            table = [absent, [1 - p for p in absent]]
            net.add_cpds(TabularCPD(sign.id, 2, table, parents, [2] * len(parents)))
        said = network(book, ANY_DECK, history)
        engine = VariableElimination(net)
        evidence = {sign: int(pair[1]) for (sign, _), pair in said.pairs.items()}
        found = solve(said)
        for cause_id in book.causes:
            asked = engine.query([cause_id], evidence, show_progress=False)
            assert found.causes[cause_id] == pytest.approx(float(asked.values[1]), abs=1e-9)


def test_what_if_equals_solving_again() -> None:
    """On a book of deck size, each row of the batch is what solving with that answer gives."""
    book = random_book(4, causes=60, signs=120, parents=4)
    history = random_history(book, 4, present=8, absent=15)
    net = network(book, ANY_DECK, history)
    before = solve(net)
    asked = {sign for sign, _ in net.pairs}
    rows = [{s: there} for s in book.signs if s not in asked for there in (True, False)]
    found = what_if(net, rows, before)
    for number in range(0, len(rows), 7):
        ((sign, there),) = rows[number].items()
        after = solve(network(book, ANY_DECK, _asked(history, sign, there)))
        chance = after.log_evidence - before.log_evidence
        assert log(found.probability[number]) == pytest.approx(chance, abs=1e-9)
        for column, cause in enumerate(found.causes):
            assert found.posterior[number, column] == pytest.approx(after.causes[cause], abs=1e-10)


def _asked(history: History, sign: str, there: bool) -> History:
    return History(history.symptoms, (*history.steps, answer(sign, there)))


def test_sweep_from_check_points_equals_sweep_on_tape(monkeypatch: pytest.MonkeyPatch) -> None:
    """A frontier too large for its tape is run again from check points, to the same digits."""
    book = random_book(5, causes=24, signs=12, parents=10, top=0.3)
    net = network(book, ANY_DECK, random_history(book, 5, present=12, absent=0))
    on_tape = solve(net)
    assert on_tape.width >= 10
    monkeypatch.setattr(sweep, "TAPE", 1 << on_tape.width)
    from_points = solve(net)
    assert from_points.causes == pytest.approx(on_tape.causes, rel=1e-14)
    assert from_points.log_evidence == pytest.approx(on_tape.log_evidence, rel=1e-14)


def test_too_wide_a_network_is_refused() -> None:
    """Past the widest frontier the answer is an error that gives both widths, not an estimate."""
    signs = WIDEST + 3
    book = random_book(6, causes=30, signs=signs, parents=28)
    with pytest.raises(InferenceError, match=f"{signs} signs .* up to {WIDEST}"):
        solve(network(book, ANY_DECK, random_history(book, 6, present=signs, absent=0)))
