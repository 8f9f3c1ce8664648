"""Which checks decide on a cause, worked out by hand on a small book."""

from __future__ import annotations

from dataclasses import replace
from math import log2

import pytest
from oracles import book_of, check_of

from diag.model.book import Book
from diag.model.check import Answer, Check
from diag.model.deciding import LEAST_BITS

LEAK = 0.01


def one_sign(*causes: tuple[float, float], leak: float = LEAK) -> Book:
    """Causes `c0`, `c1`... by prior and link, all of the one sign `dead`."""
    return book_of(
        shows={f"c{n}": {"dead": link} for n, (_, link) in enumerate(causes)},
        priors={f"c{n}": prior for n, (prior, _) in enumerate(causes)},
        leaks={"dead": leak},
    )


def bits(book: Book, cause: str, check: str = "ask_dead") -> float | None:
    """Bits that a check tells of a cause; None if it does not decide."""
    return dict(book.deciding[cause]).get(check)


def entropy(p: float) -> float:
    """Bits of a yes or no."""
    return -p * log2(p) - (1 - p) * log2(1 - p)


def test_sign_that_only_its_cause_shows_tells_all() -> None:
    """Present with the cause and never without: the answer is the cause itself, 1 bit."""
    assert bits(one_sign((0.1, 1.0), leak=0.0), "c0") == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("prior", [0.001, 0.1, 0.45, 0.9])
def test_own_prior_of_a_cause_does_not_matter(prior: float) -> None:
    """A cause is weighed as if it were as likely as not, however common it is.

    Link 0.9 and leak 0.01: present with 0.901, else with 0.01.
    """
    present = 1 - 0.99 * (1 - 0.9)
    by_hand = entropy((present + LEAK) / 2) - (entropy(present) + entropy(LEAK)) / 2
    assert bits(one_sign((prior, 0.9)), "c0") == pytest.approx(by_hand, abs=1e-12)


def test_other_causes_of_a_sign_blur_it() -> None:
    """What others bring about as well tells less, by their priors at the typical age."""
    # Without c0: 1 - 0.99 * (1 - 0.3 * 0.8); with it, nine in ten of the rest as well.
    others = 1 - 0.99 * (1 - 0.3 * 0.8)
    present = 1 - (1 - others) * (1 - 0.9)
    by_hand = entropy((present + others) / 2) - (entropy(present) + entropy(others)) / 2
    assert bits(one_sign((0.1, 0.9), (0.3, 0.8)), "c0") == pytest.approx(by_hand, abs=1e-12)
    assert by_hand >= LEAST_BITS
    assert bits(one_sign((0.1, 0.9), (0.9, 0.95)), "c0") is None


def test_sign_that_seldom_shows_decides_nothing() -> None:
    """With a link of 0.3 a clean answer leaves the cause as good as it was."""
    assert bits(one_sign((0.1, 0.3)), "c0") is None
    assert bits(one_sign((0.1, 0.9)), "c0") is not None


def test_check_tells_what_its_best_sign_tells() -> None:
    """Of several signs of one check the best counts; checks of other signs are not named."""
    plain = book_of(
        shows={"belt": {"slack": 0.95, "slow": 0.5}, "bulb": {"dark": 0.9}},
        priors={"belt": 0.1, "bulb": 0.1},
        leaks={"slack": LEAK, "slow": LEAK, "dark": LEAK},
    )
    both = Check(
        id="both",
        ask="both",
        at="outside",  # type: ignore[arg-type]
        minutes=1,  # type: ignore[arg-type]
        answers={
            "hangs": Answer(id="hangs", present=("slack",)),  # type: ignore[arg-type]
            "drags": Answer(id="drags", present=("slow",)),  # type: ignore[arg-type]
            "right": Answer(id="right"),
        },
    )
    book = replace(plain, checks={"both": both, "slack": check_of("slack", "slack")})
    assert bits(book, "belt", "both") == bits(book, "belt", "slack")
    assert {check for check, _ in book.deciding["belt"]} == {"both", "slack"}
    assert book.deciding["bulb"] == ()
