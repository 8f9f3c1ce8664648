"""What would change the order of causes: other answers, and other shares than the book's."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import inf

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from oracles import ANY_DECK, answer, book_of, enumerated, random_book, random_history

from diag.errors import ImpossibleEvidence
from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.figures import Prior
from diag.model.history import Given, History, Mended
from diag.planning.policy import next_steps
from diag.planning.situation import Situation
from diag.planning.stability import FURTHEST, OFF, stability
from diag.planning.step_stability import new_steps
from diag.planning.toppling import first_cause, open_gains, toppling
from diag.reading.book import read_book
from diag.reading.location import shipped

SIGNS = ("s0", "s1", "s2", "s3")
CAUSES = ("c0", "c1", "c2")
SETTINGS = settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
CLEAR = 1e-6
"""Leads below it are left to rounding."""


@st.composite
def situations(draw: st.DrawFn) -> Situation:
    """A small book, a complaint, some answers, a repair and an answer after it."""
    chances = st.floats(0.05, 0.95)
    book = book_of(
        shows={c: draw(st.dictionaries(st.sampled_from(SIGNS), chances)) for c in CAUSES},
        priors={c: draw(st.floats(0.001, 0.7)) for c in CAUSES},
        leaks={s: draw(st.sampled_from([0.003, 0.1])) for s in SIGNS},
        remedies={"mend": (draw(st.floats(0.1, 0.99)), ("c0",))},
    )
    sure = st.sampled_from(["certain", "fairly"])
    asked = draw(st.lists(st.sampled_from(SIGNS), min_size=1, max_size=3, unique=True))
    steps: list[Given | Mended] = [answer(s, draw(st.booleans()), draw(sure)) for s in asked]
    if draw(st.booleans()):
        steps += [Mended("mend"), answer(asked[0], draw(st.booleans()))]
    told = draw(st.sampled_from([(), ("told_s3",)]))
    history = History(told, tuple(steps))
    net = network(book, ANY_DECK, history)
    # The oracle takes repeated answers as they stand, so histories with replaced ones are out.
    given_answers = sum(isinstance(step, Given) for step in steps)
    assume(sum(isinstance(piece.ref, Given) for piece in net.pieces) == given_answers)
    try:
        return Situation(book, ANY_DECK, history, net, solve(net))
    except ImpossibleEvidence:
        assume(False)
        raise


def exact_leads(at: Situation, book: Book) -> tuple[str, float]:
    """By enumeration, with this book: the first cause and its lead over the second."""
    causes = enumerated(book, at.history).causes
    ordered = sorted(causes.values(), reverse=True)
    return first_cause({c: float(p) for c, p in causes.items()}), float(ordered[0] - ordered[1])


def with_odds(book: Book, cause: str, factor: float) -> Book:
    """The book with the prior odds of a cause scaled."""
    p = Fraction(book.causes[cause].prior.at(0))
    odds = Fraction(factor) * p / (1 - p)
    prior = Prior(((0.0, float(odds / (1 + odds))),))
    return replace(book, causes={**book.causes, cause: replace(book.causes[cause], prior=prior)})


@SETTINGS
@given(situations(), st.sampled_from(CAUSES))
def test_turns_are_the_answers_that_change_the_order(at: Situation, cause: str) -> None:
    """Exactly the answers after which enumeration has another first cause, with their chance."""
    before = enumerated(at.book, at.history)
    found = toppling(at, open_gains(at), cause)
    assert found.unseen == 0
    assert found.is_first is (first_cause(at.now.causes) == cause)
    turns = {(turn.check, turn.answer): turn for turn in found.turns}
    for check in at.asked:
        for name, said in at.book.checks[check].evidence.items():
            after = enumerated(at.book, at.history, said)
            chance = float(after.evidence / before.evidence)
            ordered = sorted(after.causes.values(), reverse=True)
            if chance < CLEAR or ordered[0] - ordered[1] < CLEAR:
                turns.pop((check, name), None)
                continue
            first = first_cause({c: float(p) for c, p in after.causes.items()})
            turn = turns.pop((check, name), None)
            assert (turn is not None) is ((first == cause) is not found.is_first)
            if turn is not None:
                assert turn.first == first
                assert turn.chance == pytest.approx(chance, abs=1e-9)
                assert turn.to == pytest.approx(float(after.causes[cause]), abs=1e-9)
    assert not turns


@SETTINGS
@given(situations())
def test_turns_come_by_their_chance_a_minute(at: Situation) -> None:
    """The likeliest for its minutes is first, and the strongest mover is told if nothing turns."""
    for cause in CAUSES:
        found = toppling(at, open_gains(at), cause)
        rates = [turn.chance_a_minute for turn in found.turns]
        assert rates == sorted(rates, reverse=True)
        assert found.most is None or not found.turns
        if found.most is not None:
            assert (found.most.to < at.now.causes[cause]) is found.is_first


@SETTINGS
@given(situations())
def test_shifts_are_where_the_first_cause_changes(at: Situation) -> None:
    """Just short of each factor the first cause stands by enumeration; just past it, it fell."""
    first, lead = exact_leads(at, at.book)
    assume(lead > CLEAR)
    shifts = stability(at, first).shifts
    for shift in shifts:
        past = 1.0001 if shift.factor > 1 else 1 / 1.0001
        short = enumerated(with_odds(at.book, shift.cause, shift.factor / past), at.history).causes
        beyond = enumerated(with_odds(at.book, shift.cause, shift.factor * past), at.history).causes
        assert float(short[first] - short[shift.first]) > -1e-9
        assert float(beyond[shift.first] - beyond[first]) > -1e-9
        odds = shift.share / (1 - shift.share) / shift.book_share * (1 - shift.book_share)
        assert odds == pytest.approx(shift.factor, rel=1e-9)
    assert [s.times_off for s in shifts] == sorted(s.times_off for s in shifts)


@SETTINGS
@given(situations(), st.floats(1 / FURTHEST, FURTHEST))
def test_no_shift_is_missed(at: Situation, factor: float) -> None:
    """Where enumeration has another first cause at some factor, a shift no further off is told."""
    first, lead = exact_leads(at, at.book)
    assume(lead > CLEAR)
    found = stability(at, first)
    assert found.unseen == 0
    for cause in CAUSES:
        nearest = [s.factor for s in found.shifts if s.cause == cause]
        there, by = exact_leads(at, with_odds(at.book, cause, factor))
        above = min((f for f in nearest if f > 1), default=inf)
        below = max((f for f in nearest if f < 1), default=0.0)
        if there != first and by > CLEAR:
            assert above <= factor or below >= factor
        elif there == first and by > CLEAR:
            assert below < factor < above


@SETTINGS
@given(situations(), st.sampled_from(CAUSES), st.floats(1 / FURTHEST, FURTHEST))
def test_a_cause_behind_is_told_what_puts_it_first(
    at: Situation, cause: str, factor: float
) -> None:
    """Past a told share enumeration has it first; where it has it first, such a share is told."""
    first, lead = exact_leads(at, at.book)
    assume(cause != first and lead > CLEAR)
    found = stability(at, cause)
    assert not found.is_first
    for scaled in CAUSES:
        told = [s.factor for s in found.shifts if s.cause == scaled]
        there, by = exact_leads(at, with_odds(at.book, scaled, factor))
        if there == cause and by > CLEAR:
            assert any(min(1.0, factor) <= k <= max(1.0, factor) for k in told)
    for shift in found.shifts:
        assert shift.first == cause
        past = 1.0001 if shift.factor > 1 else 1 / 1.0001
        book = with_odds(at.book, shift.cause, shift.factor * past)
        there, by = exact_leads(at, book)
        short, _ = exact_leads(at, with_odds(at.book, shift.cause, shift.factor / past))
        assert short != cause
        if by > CLEAR and shift.factor * past < FURTHEST:
            assert there == cause


def test_on_a_wide_network_what_is_left_out_is_counted() -> None:
    """The likeliest causes are tried, the number of the others is told, and so with checks."""
    book = random_book(1, causes=20, signs=20, parents=4, top=0.3)
    history = random_history(book, 1, present=3, absent=2)
    net = network(book, ANY_DECK, history)
    at = Situation(book, ANY_DECK, history, net, solve(net))
    first = first_cause(at.now.causes)
    whole = stability(at, first)
    wide = replace(at, now=replace(at.now, width=40))
    part = stability(wide, first)
    assert whole.unseen == 0 < part.unseen < 20
    assert set(part.shifts) < set(whole.shifts)


def bench(prior_first: float, prior_second: float) -> Situation:
    """Two causes of one sign, each with a look of its own, and nothing known but the sign."""
    book = book_of(
        shows={"c0": {"s0": 0.9, "s1": 0.9}, "c1": {"s0": 0.9, "s2": 0.9}},
        priors={"c0": prior_first, "c1": prior_second},
        leaks={"s0": 0.01, "s1": 0.01, "s2": 0.01},
        remedies={"mend_c0": (0.9, ("c0",)), "mend_c1": (0.9, ("c1",))},
    )
    history = History((), (answer("s0", True),))
    net = network(book, ANY_DECK, history)
    return Situation(book, ANY_DECK, history, net, solve(net))


def test_next_step_changes_with_the_share_of_what_it_goes_for() -> None:
    """Each new step is what is planned from a book with that share, and no change is left out."""
    at = bench(0.2, 0.15)
    told = {(n.cause, n.factor): n.step for n in new_steps(at, ("c0", "c1"), next_steps(at)[0])}
    assert told
    for cause in ("c0", "c1"):
        for factor in (1 / OFF, OFF):
            book = with_odds(at.book, cause, factor)
            net = network(book, ANY_DECK, at.history)
            step = next_steps(Situation(book, ANY_DECK, at.history, net, solve(net)))[0]
            if (cause, factor) in told:
                changed = told[cause, factor]
                assert changed is not None
                assert (changed.kind, changed.id) == (step.kind, step.id)
                assert step.id != next_steps(at)[0].id
            else:
                assert step.id == next_steps(at)[0].id


def test_a_step_of_the_intake_hangs_on_no_share() -> None:
    """What every deck answers first is asked whatever the shares are."""
    at = bench(0.2, 0.15)
    at = replace(at, book=replace(at.book, intake=("ask_s1",)))
    step = next_steps(at)[0]
    assert step.by == "intake"
    assert new_steps(at, ("c0", "c1"), step) == ()


def test_a_certain_cause_stands_whatever_the_shares_are() -> None:
    """Where one cause alone can show what was seen, no share within reach topples it."""
    book = book_of(
        shows={"c0": {"s0": 0.9}, "c1": {"s1": 0.9}},
        priors={"c0": 0.2, "c1": 0.001},
        leaks={"s0": 0.0, "s1": 0.01},
    )
    history = History((), (answer("s0", True),))
    net = network(book, ANY_DECK, history)
    at = Situation(book, ANY_DECK, history, net, solve(net))
    assert stability(at, "c0").shifts == ()
    found = toppling(at, open_gains(at), "c0")
    assert found.turns == ()
    assert found.most is None


def test_the_shipped_book_is_answered_in_whole() -> None:
    """With no answer but a complaint and one with it, every part of the answer is there."""
    book = read_book(shipped(), "cassette")
    symptom = next(iter(book.symptoms))
    check = book.intake[0]
    for steps in ((), (Given(check, next(iter(book.checks[check].answers))),)):
        history = History((symptom,), steps)
        net = network(book, ANY_DECK, history)
        at = Situation(book, ANY_DECK, history, net, solve(net))
        first = first_cause(at.now.causes)
        found = toppling(at, open_gains(at), first)
        assert found.unseen == 0
        assert found.turns or found.most
        assert all(turn.first != first for turn in found.turns)
        shares = stability(at, first)
        assert shares.unseen == 0
        assert shares.matter
