"""The chance that a sign came by its leak, against enumeration, through repairs and openings."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from oracles import ANY_DECK, answer, book_of, enumerated

from diag.errors import ImpossibleEvidence
from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.cause import Cause
from diag.model.figures import CauseId, Prior, Probability, SignId
from diag.model.history import Given, History, Mended, Opened, Sure
from diag.planning.outside import UNEXPLAINED, unexplained

SIGNS = ("s0", "s1", "s2")
CAUSES = ("c0", "c1")
chances = st.sampled_from([0.1, 0.4, 0.8, 0.97, 1.0])
some_causes = st.lists(st.sampled_from(CAUSES), max_size=2, unique=True)


@st.composite
def books(draw: st.DrawFn) -> Book:
    """Two causes, three signs with leaks that matter, a remedy and an opening."""
    return book_of(
        shows={
            c: draw(st.dictionaries(st.sampled_from(SIGNS), chances, min_size=1)) for c in CAUSES
        },
        priors={c: draw(st.sampled_from([0.02, 0.2, 0.6])) for c in CAUSES},
        leaks={s: draw(st.sampled_from([0.02, 0.1, 0.2, 0.4])) for s in SIGNS},
        remedies={"mend": (draw(st.sampled_from([0.3, 0.9, 1.0])), draw(some_causes))},
        layers={"lid": {c: draw(st.sampled_from([0.05, 0.5])) for c in draw(some_causes)}},
    )


def touched(book: Book, step: Mended | Opened) -> set[str]:
    """The signs of the causes that a step may have ended or brought about."""
    acted: tuple[str, ...] = tuple(
        book.mends[step.remedy] if isinstance(step, Mended) else book.layers[step.layer].upsets
    )
    return {sign for cause in acted for sign in book.causes[CauseId(cause)].shows}


@st.composite
def cases(draw: st.DrawFn) -> tuple[Book, History, set[str]]:
    """A book, a history, and the signs that its latest answers call present for certain.

    After the step in the middle only what it touched is asked again, so that every answer stands.
    """
    book = draw(books())
    between = draw(st.sampled_from([Mended("mend"), Opened("lid")]))
    changed = touched(book, between)
    first = draw(st.lists(st.sampled_from(SIGNS), min_size=1, unique=True))
    again = [sign for sign in SIGNS if sign in changed and draw(st.booleans())]
    steps: list[Given | Mended | Opened] = []
    present: set[str] = set()
    for sitting, asked in ((0, first), (1, again)):
        if sitting:
            steps.append(between)
            present -= changed
        for sign in asked:
            is_present = draw(st.sampled_from([True, True, False]))
            sure: Sure = draw(st.sampled_from(["certain", "certain", "fairly"]))
            steps.append(answer(sign, is_present, sure))
            if is_present and sure == "certain":
                present.add(sign)
    return book, History((), tuple(steps)), present


def with_cause_for_leak(book: Book, sign: str) -> Book:
    """The same book with the leak of one sign made a cause of its own, `leak`."""
    cause = Cause(
        id="leak",
        says="leak",
        prior=Prior(((0.0, book.signs[sign].leak),)),  # type: ignore[arg-type]
        shows={SignId(sign): Probability(1.0)},
    )
    signs = {**book.signs, sign: replace(book.signs[sign], leak=Probability(0.0))}
    return replace(book, causes={**book.causes, "leak": cause}, signs=signs)


@given(cases())
@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
def test_chance_of_the_leak_is_the_enumerated_one(case: tuple[Book, History, set[str]]) -> None:
    """Every sign that is there and came by its leak is told with its exact chance, no other."""
    book, history, present = case
    net = network(book, ANY_DECK, history)
    try:
        found = unexplained(net, solve(net))
    except ImpossibleEvidence:
        assume(False)
    told = {sign.sign: sign.chance for sign in found}
    for sign in SIGNS:
        exact = float(enumerated(with_cause_for_leak(book, sign), history).causes["leak"])
        if sign in told:
            assert told[sign] == pytest.approx(exact, abs=1e-10)
        if abs(exact - UNEXPLAINED) > 1e-9:
            assert (sign in told) == (sign in present and exact > UNEXPLAINED)
    assert [sign.chance for sign in found] == sorted(told.values(), reverse=True)
