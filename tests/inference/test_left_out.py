"""The chance of the evidence without single answers."""

from __future__ import annotations

import pytest
from drawn_repairs import repaired_decks
from hypothesis import HealthCheck, given, settings
from oracles import ANY_DECK

from diag.errors import ImpossibleEvidence
from diag.inference.left_out import log_evidence_less
from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.history import History


@settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
@given(repaired_decks(most_epochs=4))
def test_batch_equals_solving_each_rest(drawn: tuple[Book, History]) -> None:
    """Through repairs, complaints, hard and soft answers, leaving one out is solving the others."""
    net = network(drawn[0], ANY_DECK, drawn[1])
    try:
        whole = solve(net)
    except ImpossibleEvidence:
        return
    expected = {ref: solve(net.without(ref)).log_evidence for ref in net.refs}
    assert log_evidence_less(whole) == pytest.approx(expected, rel=0, abs=1e-12)
