"""Up to four epochs against enumeration: posterior, log evidence and every what-if."""

from __future__ import annotations

from math import log

import pytest
from drawn_repairs import SIGNS, repaired_decks
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from oracles import ANY_DECK, enumerated

from diag.errors import ImpossibleEvidence
from diag.inference.network import network
from diag.inference.posterior import solve
from diag.inference.what_if import DIRECT, what_if
from diag.model.book import Book
from diag.model.history import Given, History

TOLERANCE = 1e-12
RARE = 1e-2
"""An answer less likely than this comes from a subtraction that costs digits, unless `DIRECT`."""
IF_RARE = 1e-11
FEW = settings(max_examples=50, deadline=None, suppress_health_check=list(HealthCheck))
MANY = settings(FEW, max_examples=800)

decks = repaired_decks(most_epochs=4)
futures = st.lists(
    st.dictionaries(st.sampled_from(SIGNS), st.booleans(), min_size=1), min_size=1, max_size=5
)


def check_posterior(book: Book, history: History) -> None:
    """Compare the posterior and the log evidence with those of the oracle."""
    net = network(book, ANY_DECK, history)
    asked = sum(isinstance(step, Given) for step in history.steps)
    assert sum(isinstance(piece.ref, Given) for piece in net.pieces) == asked
    exact = enumerated(book, history)
    if not exact.evidence:
        with pytest.raises(ImpossibleEvidence):
            solve(net)
        return
    found = solve(net)
    assert found.log_evidence == pytest.approx(log(exact.evidence), rel=0, abs=TOLERANCE)
    expected = {cause: float(chance) for cause, chance in exact.causes.items()}
    assert found.causes == pytest.approx(expected, rel=0, abs=TOLERANCE)


def check_what_if(book: Book, history: History, rows: list[dict[str, bool]]) -> None:
    """Compare each row with the history whose last moment shows those signs."""
    before = enumerated(book, history)
    if not before.evidence:
        return
    found = what_if(network(book, ANY_DECK, history), rows)
    for number, row in enumerate(rows):
        after = enumerated(book, history, row)
        chance = float(after.evidence / before.evidence)
        assert found.probability[number] == pytest.approx(chance, rel=0, abs=TOLERANCE)
        causes = (after if chance else before).causes
        expected = [float(causes[cause]) for cause in found.causes]
        tolerance = IF_RARE if DIRECT <= chance < RARE else TOLERANCE
        assert found.posterior[number] == pytest.approx(expected, rel=0, abs=tolerance)


@FEW
@given(decks)
def test_posterior_of_four_epochs_equals_enumeration(drawn: tuple[Book, History]) -> None:
    """Through remedies and openings, hard and soft answers, every figure is the enumerated one."""
    check_posterior(*drawn)


@FEW
@given(decks, futures)
def test_what_if_of_four_epochs_equals_enumeration(
    drawn: tuple[Book, History], rows: list[dict[str, bool]]
) -> None:
    """After remedies and openings, the chance of each answer and what follows it are exact."""
    check_what_if(*drawn, rows)


@pytest.mark.proof
@MANY
@given(decks)
def test_posterior_of_many_networks_equals_enumeration(drawn: tuple[Book, History]) -> None:
    """On 800 decks of up to four epochs every figure is the enumerated one."""
    check_posterior(*drawn)


@pytest.mark.proof
@MANY
@given(decks, futures)
def test_what_if_of_many_networks_equals_enumeration(
    drawn: tuple[Book, History], rows: list[dict[str, bool]]
) -> None:
    """On 800 decks of up to four epochs every what-if is the enumerated one."""
    check_what_if(*drawn, rows)
