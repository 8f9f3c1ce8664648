"""Rare faults and many present signs keep every digit; the judge counts in exact fractions.

A sum of terms of both signs loses every digit here: its terms are of the order of one, the evidence
is some 1e-13.
"""

from __future__ import annotations

from math import log
from random import Random

import pytest
from oracles import ANY_DECK, answer, book_of, enumerated

from diag.inference.network import network
from diag.inference.posterior import solve
from diag.inference.what_if import what_if
from diag.model.book import Book
from diag.model.history import Given, History, Mended, Opened

CAUSES, SIGNS, NEAR = 10, 28, 3
RELATIVE = 1e-12


def rare_book(drawn: Random) -> Book:
    """Ten causes of 1e-4 to 0.05 in a row; each of 28 signs has three that are neighbours."""
    causes = [f"c{number}" for number in range(CAUSES)]
    shows: dict[str, dict[str, float]] = {cause: {} for cause in causes}
    for number in range(SIGNS):
        first = number * (CAUSES - NEAR + 1) // SIGNS
        for cause in causes[first : first + NEAR]:
            shows[cause][f"s{number}"] = drawn.uniform(0.2, 0.95)
    return book_of(
        shows=shows,
        priors={cause: 10 ** drawn.uniform(-4, log(0.05, 10)) for cause in causes},
        leaks={f"s{number}": drawn.uniform(0.001, 0.02) for number in range(SIGNS)},
        remedies={"mend": (drawn.uniform(0.5, 0.98), drawn.sample(causes, 2))},
        layers={"lid": {drawn.choice(causes): drawn.uniform(1e-3, 0.05)}},
    )


def many_present(book: Book, drawn: Random, present: int, absent: int) -> History:
    """So many signs present and absent in any order."""
    asked = drawn.sample(list(book.signs), present + absent)
    steps = [answer(sign, number < present) for number, sign in enumerate(asked)]
    drawn.shuffle(steps)
    return History((), tuple(steps))


def gone_or_still(book: Book, history: History, drawn: Random) -> History:
    """The same deck after a remedy and an opening: what they touched is asked again.

    A few signs are gone after the remedy; after the opening all are fairly surely there.
    """
    before = [step.check.removeprefix("ask_") for step in history.steps if isinstance(step, Given)]
    mended = _shown(book, *book.mends["mend"])
    upset = _shown(book, *book.layers["lid"].upsets)
    again = [answer(sign, drawn.random() < 0.8, "fairly") for sign in before if sign in mended]
    once_more = [answer(sign, True, "fairly") for sign in before if sign in upset]
    touched = (Mended("mend"), *again[:4], Opened("lid"), *once_more[:3])
    return History((), (*history.steps, *touched))


def _shown(book: Book, *causes: str) -> set[str]:
    return {str(sign) for cause in causes for sign in book.causes[cause].shows}


def check_digits(book: Book, history: History) -> None:
    """Compare every cause, however unlikely, and the evidence by their relative error."""
    exact = enumerated(book, history)
    found = solve(network(book, ANY_DECK, history))
    assert found.log_evidence == pytest.approx(log(exact.evidence), rel=0, abs=RELATIVE)
    for cause, chance in exact.causes.items():
        assert found.causes[cause] == pytest.approx(float(chance), rel=RELATIVE, abs=0)
        odds = log(chance / (1 - chance))
        assert found.log_odds[cause] == pytest.approx(odds, rel=0, abs=RELATIVE)


@pytest.mark.parametrize("present", [15, 25])
def test_rare_faults_with_many_present_signs_keep_every_digit(present: int) -> None:
    """With 15 to 25 present signs, every cause is right to twelve digits, likely or not."""
    drawn = Random(present)
    book = rare_book(drawn)
    check_digits(book, many_present(book, drawn, present, absent=3))


def test_rare_faults_keep_every_digit_through_a_repair() -> None:
    """After a remedy and an opening, with signs asked again, the digits are still there."""
    drawn = Random(4)
    book = rare_book(drawn)
    check_digits(book, gone_or_still(book, many_present(book, drawn, 22, absent=2), drawn))


def test_rare_answer_is_what_solving_with_it_gives() -> None:
    """An answer that hardly anybody expects is scored to nine digits of its own chance."""
    drawn = Random(5)
    book = rare_book(drawn)
    history = many_present(book, drawn, 12, absent=12)
    before = enumerated(book, history)
    net = network(book, ANY_DECK, history)
    rows = [{sign: True} for sign in book.signs if (sign, 0) not in net.pairs][:2]
    found = what_if(net, rows)
    for number, row in enumerate(rows):
        after = enumerated(book, history, row)
        chance = float(after.evidence / before.evidence)
        assert found.probability[number] == pytest.approx(chance, rel=1e-9, abs=0)


@pytest.mark.proof
@pytest.mark.parametrize("seed", range(40))
def test_many_rare_decks_keep_every_digit(seed: int) -> None:
    """Forty books of rare faults, half of them through a repair, to twelve digits."""
    drawn = Random(1000 + seed)
    book = rare_book(drawn)
    history = many_present(book, drawn, drawn.randint(15, 25), absent=3)
    check_digits(book, gone_or_still(book, history, drawn) if seed % 2 else history)
