"""Figures and answers put into words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diag.inference.evidence import Ref
from diag.model.book import Book
from diag.model.history import Given
from diag.model.words import answer_says, chance_in_words
from diag.trail.words import SURE_WORDS

if TYPE_CHECKING:
    # Only its name: screens use these words before numpy is read in.
    from diag.inference.weight import Conflict
    from diag.planning.outside import Unexplained
    from diag.session.assessment import Assessment, RankedCause


def weight_in_words(decibans: float) -> str:
    """How strongly an answer speaks; the steps are those in which odds grow by about 2, 3 and 10.

    3 decibans double the odds, 5 make them three times, 10 ten times, 20 a hundred times
    (decibans: ten times the decimal logarithm of the ratio of odds, I. J. Good's unit).
    """
    size = abs(decibans)
    if size < 0.5:
        return "says nothing"
    side = "for" if decibans > 0 else "against"
    if size < 3:
        return f"a little {side}"
    if size < 10:
        return f"speaks {side}"
    return f"strongly {side}" if size < 20 else f"all but decides {side}"


def answer_in_words(book: Book, check: str, answer: str) -> str:
    """What was answered, as the book says it."""
    entry = book.checks.get(check)
    if entry is None or answer not in entry.answers:
        return f"{check}: {answer}"
    return f"{entry.ask} {answer_says(entry, answer)}"


def ref_in_words(book: Book, ref: Ref) -> str:
    """A piece of evidence: an answer, or a complaint."""
    if isinstance(ref, Given):
        return answer_in_words(book, ref.check, ref.answer) + SURE_WORDS[ref.sure]
    symptom = book.symptoms.get(ref)
    return f"The owner: {symptom.says if symptom else ref}"


def conflict_in_words(book: Book, found: Conflict) -> str:
    """Which answer sits worst with the rest; empty where the answers go together."""
    if found.worst is None:
        return ""
    return (
        f"The answers go badly together; this one sits worst with the rest: "
        f"{ref_in_words(book, found.worst)} Ask it again, or strike it."
    )


def outside_in_words(book: Book, found: Assessment) -> str:
    """What stays that the book doesn't account for, and what to do then; empty if nothing does."""
    if not found.outside:
        return ""
    about = "" if found.posterior.bounds is None else "about "
    stays = " ".join(
        f"'{book.signs[sign.sign].says}' stays, and {_accounts(sign)}"
        f" ({about}{chance_in_words(sign.chance)})."
        for sign in found.outside
    )
    return (
        f"Outside the book: {stays} Write down what you find; nothing more in the book is worth"
        " its minutes."
    )


def _accounts(sign: Unexplained) -> str:
    if sign.is_likely:
        return "no fault that the book knows accounts for it"
    return "it may come of a fault that the book doesn't know"


def ranked_chance(cause: RankedCause) -> str:
    """The probability of a cause, or the interval that certainly holds it: `12-48 %`."""
    return chance_within(cause.probability, cause.bounds)


def chance_within(p: float, bounds: tuple[float, float] | None) -> str:
    """A probability, or the interval that holds it where it is not exact."""
    if bounds is None:
        return chance_in_words(p)
    low, high = (chance_in_words(bound) for bound in bounds)
    return high if low == high else f"{low.removesuffix(' %')}-{high}"
