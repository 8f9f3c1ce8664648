"""The posterior against two libraries and against exact fractions, at sizes that a deck has."""

from __future__ import annotations

import warnings
from fractions import Fraction
from math import log

import pytest
from oracles import ANY_DECK, answer, book_of, enumerated, random_book, random_history
from reference_engines import hard_evidence, pyagrum_engine, pyagrum_net

from diag.inference import passes
from diag.inference.network import network
from diag.inference.posterior import solve
from diag.inference.what_if import what_if
from diag.model.history import History


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


@pytest.mark.parametrize(
    ("causes", "signs", "present", "absent"), [(60, 120, 10, 0), (60, 120, 6, 4), (20, 40, 6, 6)]
)
def test_posterior_equals_pyagrum(causes: int, signs: int, present: int, absent: int) -> None:
    """On networks of deck size every marginal is pyAgrum's to 1e-9."""
    book = random_book(1, causes, signs, parents=4)
    said = network(book, ANY_DECK, random_history(book, 1, present, absent))
    engine = pyagrum_engine(pyagrum_net(book), book)
    engine.setEvidence(hard_evidence(said))
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
        found = solve(said)
        for cause_id in book.causes:
            asked = engine.query([cause_id], hard_evidence(said), show_progress=False)
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


def test_run_from_check_points_equals_run_on_tape(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is too large for its tape is run again from check points, to the same digits."""
    book = random_book(5, causes=24, signs=12, parents=10, top=0.3)
    net = network(book, ANY_DECK, random_history(book, 5, present=12, absent=0))
    on_tape = solve(net)
    assert on_tape.width >= 10
    monkeypatch.setattr(passes, "TAPE", 1 << on_tape.width)
    from_points = solve(net)
    assert from_points.causes == pytest.approx(on_tape.causes, rel=1e-14)
    assert from_points.log_evidence == pytest.approx(on_tape.log_evidence, rel=1e-14)


def test_evidence_far_below_the_smallest_float_is_exact() -> None:
    """A chain of 250 present signs, rarer than any float, has the log evidence of fractions."""
    length, prior = 250, 1e-4
    shows = {f"c{at}": {f"s{at}": 1.0, f"s{at + 1}": 1.0} for at in range(length - 1)}
    signs = [f"s{at}" for at in range(length)]
    book = book_of(shows, dict.fromkeys(shows, prior), dict.fromkeys(signs, 0.0))
    net = network(book, ANY_DECK, History((), tuple(answer(sign, True) for sign in signs)))
    p = Fraction(prior)
    # A sign is there if the cause before or behind it is; the two ends have one cause each.
    masses = [(Fraction(0), p)]
    for _ in range(length - 2):
        absent, present = masses[-1]
        masses.append(((1 - p) * present, p * (absent + present)))
    whole = masses[-1][1]
    assert float(whole) == 0
    found = solve(net)
    assert found.log_evidence == pytest.approx(_log(whole), rel=1e-12)
    for at in range(0, length - 1, 31):
        # What lies behind a cause is the same chain read from the other end.
        there = masses[at][1] * masses[length - 2 - at][1] / p
        assert found.causes[f"c{at}"] == pytest.approx(float(there / whole), rel=1e-10)


def test_rare_arms_of_a_star_keep_every_digit() -> None:
    """Thirty chains of seven present signs that meet in one more, against fractions."""
    arms, length, prior = 30, 7, 1e-4
    shows = {
        f"c{arm}_{at}": {(f"s{arm}_{at - 1}" if at else "hub"): 1.0, f"s{arm}_{at}": 1.0}
        for arm in range(arms)
        for at in range(length)
    }
    signs = ["hub", *(f"s{arm}_{at}" for arm in range(arms) for at in range(length))]
    book = book_of(shows, dict.fromkeys(shows, prior), dict.fromkeys(signs, 0.0))
    net = network(book, ANY_DECK, History((), tuple(answer(sign, True) for sign in signs)))
    p = Fraction(prior)
    # From the end of an arm: the mass of its signs with the cause at hand absent and present.
    absent, present = Fraction(0), p
    for _ in range(length - 1):
        absent, present = (1 - p) * present, p * (absent + present)
    each = absent + present
    whole = each**arms - absent**arms
    found = solve(net)
    assert found.log_evidence == pytest.approx(_log(whole), rel=1e-12)
    first = float(present * each ** (arms - 1) / whole)
    assert found.causes["c0_0"] == pytest.approx(first, rel=1e-10)
