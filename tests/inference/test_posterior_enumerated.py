"""The posterior, its evidence and every what-if against enumeration, through repairs, too."""

from __future__ import annotations

from math import log

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from oracles import ANY_DECK, answer, book_of, enumerated

from diag.errors import ImpossibleEvidence
from diag.inference.network import network
from diag.inference.posterior import solve
from diag.inference.what_if import what_if
from diag.model.book import Book
from diag.model.history import Given, History, Mended, Opened

SIGNS = ("s0", "s1", "s2", "s3")
CAUSES = ("c0", "c1", "c2")

chances = st.one_of(st.floats(0.01, 0.99), st.sampled_from([1e-4, 0.5, 1.0]))
priors = st.sampled_from([1e-4, 0.01, 0.2, 0.6, 1.0])
leaks = st.sampled_from([0.0, 0.003, 0.1])
# A chance of 1e-320 is beyond any float once it is multiplied, and no book has one.
rarities = st.one_of(st.just(0.0), st.floats(1e-9, 0.5), st.floats(0.5, 1.0))
SETTINGS = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))


@st.composite
def books(draw: st.DrawFn) -> Book:
    """A book of a few causes, with remedies that mend several and layers that upset several."""
    some = st.lists(st.sampled_from(CAUSES), max_size=3, unique=True)
    return book_of(
        shows={c: draw(st.dictionaries(st.sampled_from(SIGNS), chances)) for c in CAUSES},
        priors={c: draw(priors) for c in CAUSES},
        leaks={s: draw(leaks) for s in SIGNS},
        remedies={r: (draw(rarities), draw(some)) for r in ("mend", "tune")},
        layers={"lid": {c: draw(rarities) for c in draw(some)}},
    )


@st.composite
def histories(draw: st.DrawFn, most_epochs: int) -> History:
    """Complaints and answers with repairs and openings between; each sign once in each sitting."""
    sure = st.sampled_from(["certain", "certain", "fairly"])
    steps: list[Given | Mended | Opened] = []
    for epoch in range(draw(st.integers(1, most_epochs))):
        if epoch:
            steps.append(draw(st.sampled_from([Mended("mend"), Mended("tune"), Opened("lid")])))
        asked = draw(st.lists(st.sampled_from(SIGNS), unique=True))
        steps += [answer(sign, draw(st.booleans()), draw(sure)) for sign in asked]
    told = draw(st.lists(st.sampled_from(SIGNS), max_size=2, unique=True))
    return History(tuple(f"told_{sign}" for sign in told), tuple(steps))


def check_against_enumeration(book: Book, history: History, tolerance: float = 1e-12) -> None:
    """Compare the posterior and the log evidence with those of the oracle."""
    net = network(book, ANY_DECK, history)
    # The oracle takes repeated answers as they stand, so histories with replaced ones are out.
    answers = sum(isinstance(step, Given) for step in history.steps)
    assume(sum(isinstance(piece.ref, Given) for piece in net.pieces) == answers)
    exact = enumerated(book, history)
    if not exact.evidence:
        with pytest.raises(ImpossibleEvidence):
            solve(net)
        return
    found = solve(net)
    assert found.log_evidence == pytest.approx(log(exact.evidence), rel=1e-12, abs=1e-12)
    for cause, chance in exact.causes.items():
        assert found.causes[cause] == pytest.approx(float(chance), rel=1e-11, abs=tolerance)
        assert 0 <= found.causes[cause] <= 1 + 1e-15


@SETTINGS
@given(books(), histories(most_epochs=1))
def test_posterior_equals_enumeration(book: Book, history: History) -> None:
    """With hard and soft evidence of one sitting, every marginal is the enumerated one."""
    check_against_enumeration(book, history)


@SETTINGS
@given(books(), histories(most_epochs=4))
def test_posterior_through_repairs_equals_enumeration(book: Book, history: History) -> None:
    """Through up to three repairs and openings, too, over every firing of every link."""
    check_against_enumeration(book, history)


@SETTINGS
@given(
    books(),
    histories(most_epochs=3),
    st.lists(st.dictionaries(st.sampled_from(SIGNS), st.booleans()), min_size=1, max_size=6),
)
def test_what_if_equals_enumeration(
    book: Book, history: History, rows: list[dict[str, bool]]
) -> None:
    """Each row's chance and posterior are those of the history with the signs seen at its end."""
    net = network(book, ANY_DECK, history)
    answers = sum(isinstance(step, Given) for step in history.steps)
    assume(sum(isinstance(piece.ref, Given) for piece in net.pieces) == answers)
    before = enumerated(book, history)
    assume(before.evidence)
    found = what_if(net, rows)
    now = solve(net).causes
    for number, row in enumerate(rows):
        after = enumerated(book, history, row)
        chance = float(after.evidence / before.evidence)
        assert found.probability[number] == pytest.approx(chance, rel=1e-10, abs=1e-14)
        for column, cause in enumerate(found.causes):
            expected = float(after.causes[cause]) if chance else now[cause]
            assert found.posterior[number, column] == pytest.approx(expected, abs=1e-9)
