"""The test that proves a closed deck well."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diag.model.book import Book
from diag.model.history import Given, History
from diag.model.trait import Deck, fits
from diag.planning.access import Access, closing
from diag.planning.blocks import LEAST_MINUTES
from diag.planning.next_step import NextStep
from diag.planning.open_questions import answers
from diag.planning.reasons import final_reason
from diag.planning.situation import Situation


def final_checks(book: Book, deck: Deck) -> tuple[str, ...]:
    """The checks of the final test that this deck can be asked."""
    return tuple(c for c in book.final_test if fits(book.checks[c].where, deck.traits))


def is_well(book: Book, deck: Deck, history: History) -> bool:
    """Whether the final test stands passed: each of its checks answered with no sign present."""
    return _all_good(book, deck, answers(book, history).standing)


def is_passed(at: Situation) -> bool:
    """`is_well` of a situation, from the answers that it has sorted already."""
    return _all_good(at.book, at.deck, at.answers.standing)


def _all_good(book: Book, deck: Deck, standing: Mapping[str, Given]) -> bool:
    asked = final_checks(book, deck)
    return bool(asked) and all(
        check in standing and not failing(book, standing, check) for check in asked
    )


def failing(book: Book, standing: Mapping[str, Given], check: str) -> tuple[str, ...]:
    """The signs that the standing answer to a check calls present."""
    said = book.checks[check].evidence[standing[check].answer]
    return tuple(sign for sign, is_present in said.items() if is_present)


def faulty_signs(at: Situation) -> frozenset[str]:
    """The signs that standing answers to checks of the final test call present."""
    standing = at.answers.standing
    asked = [check for check in final_checks(at.book, at.deck) if check in standing]
    return frozenset(sign for check in asked for sign in failing(at.book, standing, check))


def final_steps(at: Situation, fails: Mapping[str, float] | None = None) -> list[NextStep]:
    """The checks of the final test that do not stand answered; the deck is closed for them.

    One that was put aside is asked again, after the others: a deck that was silent then may play
    now, and a test that skips a function proves nothing of it.

    Args:
        at: the situation.
        fails: chance of each check to fail. The one with most of it for its minutes comes first,
            so that a test that must fail fails soon; without it, the order of the book.
    """
    asked = [c for c in final_checks(at.book, at.deck) if c not in at.too_dangerous]
    left = [check for check in asked if check not in at.answers.standing]
    if fails is not None:
        rate = {c: fails.get(c, 0.0) / max(at.book.checks[c].minutes, LEAST_MINUTES) for c in left}
        left.sort(key=lambda check: -rate[check])
    left.sort(key=lambda check: check in at.put_aside)
    shut = closing(at.book, at.open_layers)
    why = final_reason(shut)
    return [
        NextStep(
            "check", check, at.book.checks[check].minutes, Access((), shut), 1.0, "final test", why
        )
        for check in left
    ]


def retest_minutes(at: Situation) -> float:
    """Minutes of the final test, which is done again when it fails for a fault left inside."""
    return sum(float(at.book.checks[c].minutes) for c in final_checks(at.book, at.deck))


def minutes_to_failure(steps: Sequence[NextStep], fails: Mapping[str, float]) -> float:
    """Minutes that a test in this order is expected to take until its first check fails.

    For a deck that is not well; the checks are taken as independent.
    """
    expected, passed = 0.0, 1.0
    for step in steps:
        expected += passed * step.minutes
        passed *= 1.0 - fails.get(step.id, 0.0)
    return expected
