"""The final test: its order, what interrupts it, and when its answers no longer stand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from oracles import answer, book_of, check_of
from situations import ids, situation

from diag.model.book import Book
from diag.model.figures import CheckId, LayerId, Minutes
from diag.model.history import Given, History, Mended, Opened, Step
from diag.model.trait import Deck
from diag.planning.final_test import final_steps, is_well, minutes_to_failure
from diag.planning.next_step import NextStep
from diag.planning.open_questions import answers
from diag.planning.policy import next_steps

DEAD, TURNS = answer("dead", True), answer("dead", False)
QUIET = answer("noisy", False)
TEST = ("ask_dead", "ask_noisy")


def bench(
    priors: tuple[float, float] = (0.02, 0.02),
    minutes: tuple[float, float] = (5.0, 5.0),
    belt_work: float = 20.0,
    leak: float = 0.01,
    upset: float = 0.0,
    cures: float = 1.0,
) -> Book:
    """Two functions, each with a fault of its own that always shows: belt (dead), bearing (noisy).

    Args:
        priors: of the belt and of the bearing.
        minutes: of the checks `ask_dead` and `ask_noisy`, the final test in this order.
        belt_work: minutes of `new_belt`, under the lid.
        leak: of `dead`.
        upset: chance that the lid's opening throws the belt off.
        cures: of `new_belt`.
    """
    plain = book_of(
        shows={"belt": {"dead": 1.0}, "bearing": {"noisy": 1.0}},
        priors={"belt": priors[0], "bearing": priors[1]},
        leaks={"dead": leak, "noisy": 0.01},
        remedies={"new_belt": (cures, ["belt"]), "new_bearing": (1.0, ["bearing"])},
        layers={"lid": {"belt": upset} if upset else {}, "back": {}},
    )
    checks = {
        check: replace(plain.checks[check], minutes=Minutes(m))
        for check, m in zip(TEST, minutes, strict=True)
    }
    belt = replace(plain.remedies["new_belt"], minutes=Minutes(belt_work), at=LayerId("lid"))
    bearing = replace(plain.remedies["new_bearing"], minutes=Minutes(40.0), at=LayerId("back"))
    return replace(
        plain,
        checks=checks,
        remedies={"new_belt": belt, "new_bearing": bearing},
        final_test=tuple(CheckId(check) for check in TEST),
    )


def asked_by_test(book: Book, *steps: Step, aside: frozenset[str] = frozenset()) -> list[str]:
    """The checks of the final test that are still asked, in the order of the planner."""
    offered = next_steps(situation(book, *steps, aside=aside))
    return [step.id for step in offered if step.id in TEST]


@pytest.mark.parametrize(
    ("priors", "minutes", "first"),
    [
        ((0.02, 0.04), (5.0, 5.0), "ask_noisy"),  # as long, and fails more often
        ((0.04, 0.02), (5.0, 5.0), "ask_dead"),
        ((0.02, 0.02), (5.0, 1.0), "ask_noisy"),  # as likely, and quicker
        ((0.04, 0.03), (10.0, 1.0), "ask_noisy"),  # fails less often, but ten times as quick
        ((0.20, 0.01), (10.0, 5.0), "ask_dead"),  # slower, but it must fail
    ],
)
def test_what_fails_most_for_its_minutes_is_tested_first(
    priors: tuple[float, float], minutes: tuple[float, float], first: str
) -> None:
    """A test that has to fail fails soon, whatever order the book has."""
    steps = asked_by_test(bench(priors, minutes))
    assert steps[0] == first
    assert set(steps) == set(TEST)


def test_without_chances_the_test_keeps_the_order_of_the_book() -> None:
    """Whoever plans nothing goes through the list as it is written."""
    at = situation(bench((0.02, 0.04)))
    assert ids(final_steps(at)) == ["ask_dead", "ask_noisy"]


def test_what_was_put_aside_is_tested_last_and_proves_the_deck_only_then() -> None:
    """A check that nobody could answer before is asked again, and no deck is well without it."""
    book = bench((0.02, 0.04))
    aside = frozenset({"ask_noisy"})
    assert asked_by_test(book, aside=aside) == ["ask_dead", "ask_noisy"]
    left = next_steps(situation(book, TURNS, aside=aside))
    assert (left[0].id, left[0].by) == ("ask_noisy", "final test")
    assert not is_well(book, Deck(), History((), (TURNS,)))
    assert is_well(book, Deck(), History((), (TURNS, QUIET)))
    assert next_steps(situation(book, TURNS, QUIET, aside=aside)) == ()


def test_minutes_until_a_test_fails_by_hand() -> None:
    """The second check is reached by what passes the first only: 5 + 0.75 * 3."""
    at = situation(bench(minutes=(5.0, 3.0)))
    steps = final_steps(at, {"ask_dead": 0.25, "ask_noisy": 0.1})
    assert minutes_to_failure(steps, {"ask_dead": 0.25}) == pytest.approx(5 + 0.75 * 3)
    assert minutes_to_failure((), {}) == 0.0


def test_closing_is_told_with_the_test() -> None:
    """The deck is tested closed, and the minutes for that stand with each step."""
    at = situation(bench(), open_layers=("lid",))
    assert {step.access.minutes for step in final_steps(at)} == {1.0}
    assert {step.access.minutes for step in final_steps(situation(bench()))} == {0.0}


def test_failing_check_stops_the_test_until_the_fault_is_mended() -> None:
    """The belt comes next, and the other function again once the hub turns."""
    book = bench()
    assert next_steps(situation(book, DEAD))[0].id == "new_belt"
    assert next_steps(situation(book, DEAD, Mended("new_belt")))[0].id == "ask_dead"
    done = next_steps(situation(book, DEAD, Mended("new_belt"), TURNS))
    assert (done[0].id, done[0].by) == ("ask_noisy", "final test")


def test_failing_check_stops_the_test_though_nothing_is_worth_its_minutes() -> None:
    """While the book may account for the sign, dear remedies go before more of the test.

    Belt and clutch are too alike to be told apart, and too much work to be mended on suspicion.
    """
    plain = book_of(
        shows={"belt": {"dead": 1.0}, "clutch": {"dead": 1.0}, "bearing": {"noisy": 1.0}},
        priors={"belt": 0.05, "clutch": 0.05, "bearing": 0.001},
        leaks={"dead": 0.02, "noisy": 0.01},
        remedies={"new_belt": (1.0, ["belt"]), "new_clutch": (1.0, ["clutch"])},
        layers={"lid": {}},
    )
    work = {
        name: replace(remedy, minutes=Minutes(300.0), at=LayerId("lid"))
        for name, remedy in plain.remedies.items()
    }
    noise = replace(plain.checks["ask_noisy"], minutes=Minutes(20.0))
    book = replace(
        plain,
        checks={**plain.checks, "ask_noisy": noise},
        remedies=work,
        final_test=tuple(CheckId(check) for check in TEST),
    )
    steps = next_steps(situation(book, DEAD))
    assert {step.id for step in steps[:2]} == {"new_belt", "new_clutch"}
    assert ids(steps).index("ask_noisy") == 2


def test_test_goes_on_where_the_sign_lies_outside_the_book() -> None:
    """A hub that stands with a sure new belt is no fault of the book; the rest is tested."""
    book = bench((0.05, 0.01), minutes=(5.0, 20.0), leak=0.3)
    steps = next_steps(situation(book, DEAD, Mended("new_belt"), DEAD))
    assert (steps[0].id, steps[0].by) == ("ask_noisy", "final test")


def test_closed_deck_that_probably_is_well_is_tested_before_it_is_searched() -> None:
    """The odds of a well deck pay for the test; with a likely fault they don't."""
    assert [search(fault)[0].by for fault in (0.05, 0.5)] == ["final test", "final test"]
    assert search(0.9)[0].by == "planner"


def test_open_deck_is_tested_later_than_a_closed_one() -> None:
    """Closing it for a test that may fail costs the way back in."""
    assert search(0.4)[0].id == "hub"
    assert search(0.4, lid=30.0)[0].id != "hub"


def search(fault: float, lid: float = 0.0) -> tuple[NextStep, ...]:
    """What comes first with a fault of this chance, a test of it and a look at it that costs more.

    With `lid`, the deck is open, and that many minutes are those of opening it and of closing it.
    """
    plain = book_of(
        shows={"belt": {"dead": 0.9, "slack": 0.9}},
        priors={"belt": fault},
        leaks={"dead": 0.01, "slack": 0.01},
        remedies={"new_belt": (0.9, ["belt"])},
        layers={"lid": {}},
    )
    half = Minutes(lid)
    hub = replace(check_of("hub", "dead"), minutes=Minutes(10.0))
    look = replace(check_of("look", "slack"), minutes=Minutes(8.0))
    book = replace(
        plain,
        layers={
            **plain.layers,
            "lid": replace(plain.layers["lid"], open_minutes=half, close_minutes=half),
        },
        checks={"hub": hub, "look": look},
        remedies={"new_belt": replace(plain.remedies["new_belt"], minutes=Minutes(60.0))},
        final_test=(CheckId("hub"),),
    )
    return next_steps(situation(book, open_layers=("lid",) if lid else ()))


def test_opening_puts_answers_that_it_may_have_changed_in_question() -> None:
    """A lid that may throw the belt off takes the hub's passed test with it, and no other."""
    book = bench(upset=0.1)
    steps = (TURNS, QUIET, Opened("lid"))
    found = answers(book, History((), steps))
    assert (set(found.stale), set(found.standing)) == ({"ask_dead"}, {"ask_noisy"})
    assert is_well(book, Deck(), History((), (TURNS, QUIET)))
    assert not is_well(book, Deck(), History((), steps))
    assert ids(final_steps(situation(book, *steps))) == ["ask_dead"]
    assert is_well(book, Deck(), History((), (*steps, TURNS)))


@pytest.mark.parametrize(
    "steps",
    [(TURNS, Opened("back")), (Opened("lid"), TURNS), (TURNS, Opened("no_layer"))],
    ids=["other layer", "asked since", "layer that the book has no longer"],
)
def test_answer_stands_through_openings_that_can_not_change_it(steps: tuple[Step, ...]) -> None:
    """Only a later opening, and only one that can bring a cause of the sign about, counts."""
    found = answers(bench(upset=0.1), History((), steps))
    assert set(found.standing) == {"ask_dead"}
    assert not found.stale


def test_answer_of_a_check_that_is_gone_from_the_book_stands_for_nothing() -> None:
    """An old case may hold answers that the book no longer has; they hurt nobody."""
    history = History((), (Given("no_check", "yes"), Opened("lid")))
    assert set(answers(bench(upset=0.1), history).standing) == {"no_check"}
    assert not is_well(bench(upset=0.1), Deck(), history)
