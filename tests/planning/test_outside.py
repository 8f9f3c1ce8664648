"""Signs that no cause of the book accounts for: their chances, and which are told."""

from __future__ import annotations

from dataclasses import replace
from math import prod

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from oracles import ANY_DECK, answer, book_of
from situations import situation

from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.history import History, Mended, Step, Sure
from diag.planning.access import Access
from diag.planning.next_step import NextStep
from diag.planning.outside import IN_VAIN, UNEXPLAINED, Unexplained, unexplained
from diag.planning.policy import has_hope

BOOK = book_of(
    shows={"worn_belt": {"slow": 0.5}},
    priors={"worn_belt": 0.1},
    leaks={"slow": 0.2, "hums": 0.01},
    remedies={"renew": (0.9, ["worn_belt"])},
)


def told(book: Book, *steps: Step) -> tuple[Unexplained, ...]:
    """What lies outside the book after these steps."""
    net = network(book, ANY_DECK, History((), steps))
    return unexplained(net, solve(net))


@given(
    leak=st.floats(0.001, 0.3),
    shares=st.lists(st.tuples(st.floats(0.01, 0.9), st.floats(0.01, 0.9)), max_size=4),
)
@settings(max_examples=60, deadline=None)
def test_chance_is_that_of_the_leak_given_the_sign(
    leak: float, shares: list[tuple[float, float]]
) -> None:
    """For a sign alone it is leak / P(sign), with P(sign) as a product over its causes."""
    # A leak that fires brings the sign, so that P(leak and sign) = leak; the causes are independent
    # and so P(sign) = 1 - (1 - leak) * prod(1 - prior * link).
    causes = {f"c{n}": share for n, share in enumerate(shares)}
    book = book_of(
        shows={name: {"s": link} for name, (_, link) in causes.items()},
        priors={name: prior for name, (prior, _) in causes.items()},
        leaks={"s": leak},
    )
    chance = leak / (1 - (1 - leak) * prod(1 - prior * link for prior, link in shares))
    found = told(book, answer("s", is_present=True))
    if abs(chance - UNEXPLAINED) > 1e-9:
        assert bool(found) == (chance >= UNEXPLAINED)
    for sign in found:
        assert sign.chance == pytest.approx(chance, rel=1e-9)


def test_sign_that_no_cause_shows_is_outside_for_certain() -> None:
    """Nothing but its leak can have brought it; it comes before one that is less sure."""
    found = told(BOOK, answer("slow", is_present=True), answer("hums", is_present=True))
    assert [sign.sign for sign in found] == ["hums", "slow"]
    assert found[0].chance == 1.0
    # By hand: 0.2 / (1 - 0.8 * (1 - 0.1 * 0.5)).
    assert found[1].chance == pytest.approx(0.2 / 0.24, rel=1e-9)


@pytest.mark.parametrize("sure", ["certain", "fairly"])
def test_only_what_is_certain_counts(sure: Sure) -> None:
    """A sign that somebody is only fairly sure of may not be there at all."""
    assert bool(told(BOOK, answer("hums", is_present=True, sure=sure))) == (sure == "certain")


def test_sign_that_is_gone_is_not_outside() -> None:
    """What nobody finds needs no cause."""
    assert told(BOOK, answer("hums", is_present=False)) == ()


def test_sign_that_a_repair_may_have_taken_away_has_to_be_found_again() -> None:
    """After the repair of what can show it, the sign is told only if it stays, and is surer."""
    slow, renew = answer("slow", is_present=True), Mended("renew")
    assert told(BOOK, slow, renew) == ()
    (before,), (after,) = told(BOOK, slow), told(BOOK, slow, renew, slow)
    assert after.sign == "slow"
    assert after.chance > before.chance


def test_six_repairs_in_vain_end_hope() -> None:
    """While a sign outlasts repair upon repair of what can bring it, there is less to hope for.

    Common practice; a repair of something else doesn't count.
    """
    book = book_of(
        shows={f"belt_{n}": {"slow": 0.5} for n in range(IN_VAIN)} | {"hum_pot": {"hums": 0.9}},
        priors={f"belt_{n}": 0.5 for n in range(IN_VAIN)} | {"hum_pot": 0.2},
        leaks={"slow": 0.2, "hums": 0.01},
        remedies={f"renew_{n}": (0.3, [f"belt_{n}"]) for n in range(IN_VAIN)}
        | {"turn_pot": (0.9, ["hum_pot"])},
    )
    book = replace(book, final_test=("ask_slow",))
    best = NextStep("remedy", "renew_0", 10.0, Access((), ()), 1.0, "planner")
    for done in range(IN_VAIN + 1):
        steps: list[Step] = [Mended("turn_pot"), answer("slow", is_present=True)]
        for number in range(done):
            steps += [Mended(f"renew_{number}"), answer("slow", is_present=True)]
        assert has_hope(situation(book, *steps), [best]) is (done < IN_VAIN)
