"""Figures and answers put into words."""

from __future__ import annotations

from diag.inference.evidence import Ref
from diag.model.book import Book
from diag.model.check import Check
from diag.model.figures import Name
from diag.model.history import Given

SURE_WORDS = {"certain": "", "fairly": " (fairly sure)"}


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


def answer_says(check: Check, answer: str) -> str:
    """What an answer says; an answer without words is called by its id."""
    return check.answers[Name(answer)].says or answer.replace("_", " ").capitalize()


def ref_in_words(book: Book, ref: Ref) -> str:
    """A piece of evidence: an answer, or a complaint."""
    if isinstance(ref, Given):
        return answer_in_words(book, ref.check, ref.answer) + SURE_WORDS[ref.sure]
    symptom = book.symptoms.get(ref)
    return f"The owner: {symptom.says if symptom else ref}"


def chance_in_words(p: float) -> str:
    """A percentage that never claims certainty by rounding."""
    if p >= 0.995:
        return ">99 %" if p < 1 else "100 %"
    if 0 < p < 0.005:
        return "<1 %"
    return f"{p:.0%}".replace("%", " %")
