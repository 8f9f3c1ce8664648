"""The test that proves a closed deck well."""

from __future__ import annotations

from collections.abc import Mapping

from diag.model.book import Book
from diag.model.history import Given, History
from diag.model.trait import Deck, fits
from diag.planning.access import Access, closing
from diag.planning.next_step import NextStep
from diag.planning.open_questions import answers
from diag.planning.reasons import final_reason
from diag.planning.situation import Situation


def final_checks(book: Book, deck: Deck) -> tuple[str, ...]:
    """The checks of the final test that this deck can be asked."""
    return tuple(c for c in book.final_test if fits(book.checks[c].where, deck.traits))


def is_well(book: Book, deck: Deck, history: History) -> bool:
    """Whether the final test stands passed: each of its checks answered with no sign present."""
    standing = answers(book, history).standing
    asked = final_checks(book, deck)
    return bool(asked) and all(
        check in standing and not failing(book, standing, check) for check in asked
    )


def failing(book: Book, standing: Mapping[str, Given], check: str) -> tuple[str, ...]:
    """The signs that the standing answer to a check calls present."""
    said = book.checks[check].evidence[standing[check].answer]
    return tuple(sign for sign, is_present in said.items() if is_present)


def final_steps(at: Situation) -> list[NextStep]:
    """The checks of the final test that do not stand answered; the deck is closed for them.

    One that was put aside is asked again, after the others: a deck that was silent then may play
    now, and a test that skips a function proves nothing of it.
    """
    left = [c for c in final_checks(at.book, at.deck) if c not in at.answers.standing]
    left.sort(key=lambda check: check in at.put_aside)
    shut = closing(at.book, at.open_layers)
    why = final_reason(shut)
    return [
        NextStep(
            "check", check, at.book.checks[check].minutes, Access((), shut), 1.0, "final test", why
        )
        for check in left
    ]
