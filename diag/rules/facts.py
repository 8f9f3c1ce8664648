"""What is known of a case, as facts that rules can test."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import isfinite

from diag.errors import RuleError, UnknownId
from diag.model.book import Book
from diag.model.history import Given, History, Mended
from diag.model.trait import Deck

AGE = "age"
"""The fact that every deck of known age has: its age in years."""


@dataclass(frozen=True, slots=True)
class CaseFact:
    """One thing known of a case.

    `kind` is a subject of a rule's condition (`trait`, `fact`, `sign`, `symptom`, `check`,
    `layer`). `told_by` is `deck`, `owner` or `bench`; for a sign the check that told it, for a
    derived fact the rule that derived it.
    """

    kind: str
    id: str
    value: str | float
    told_by: str


@dataclass(frozen=True, slots=True)
class Telling:
    """What the answer of one check says of one sign; `repairs` counts the remedies before it."""

    sign: str
    present: bool
    check: str
    certain: bool
    repairs: int

    @property
    def fact(self) -> CaseFact:
        """This telling as a fact about the sign."""
        return CaseFact("sign", self.sign, "present" if self.present else "absent", self.check)


def facts_of(
    book: Book, deck: Deck, history: History, open_layers: Iterable[str] = ()
) -> tuple[CaseFact, ...]:
    """All that is known of a case, with one value for each subject, by kind and id.

    A sign told by several checks has the value told after the latest repair; of those, a certain
    answer's before a fairly sure one's; of those, the latest.

    Raises:
        RuleError: a fact of the deck is not of the kind that the book declares.
        UnknownId: a check or an answer that the book does not have.
    """
    tellings = sorted(tellings_of(book, history), key=lambda each: (each.repairs, each.certain))
    facts = [
        *_deck_facts(book, deck),
        *(CaseFact("symptom", symptom, "told", "owner") for symptom in history.symptoms),
        *(CaseFact("check", g.check, g.answer, "bench") for g, _ in _latest_answers(history)),
        *(CaseFact("layer", layer, "open", "bench") for layer in open_layers),
        *(telling.fact for telling in tellings),
    ]
    last = {(fact.kind, fact.id): fact for fact in facts}
    return tuple(last[subject] for subject in sorted(last))


def tellings_of(book: Book, history: History) -> tuple[Telling, ...]:
    """What the latest answer of each check says of each sign, in the order of the answers.

    A complaint's signs are not here: what an owner tells is a reason to look, not an observation.

    Raises:
        UnknownId: a check or an answer that the book does not have.
    """
    return tuple(
        Telling(sign, present, given.check, given.sure == "certain", repairs)
        for given, repairs in _latest_answers(history)
        for sign, present in _evidence(book, given).items()
    )


def _latest_answers(history: History) -> Iterator[tuple[Given, int]]:
    """The last answer of each check, with the number of remedies done before it."""
    last: dict[str, tuple[Given, int]] = {}
    repairs = 0
    for step in history.steps:
        if isinstance(step, Mended):
            repairs += 1
        elif isinstance(step, Given):
            last.pop(step.check, None)
            last[step.check] = (step, repairs)
    return iter(last.values())


def _evidence(book: Book, given: Given) -> dict[str, bool]:
    check = book.checks.get(given.check)
    if check is None or given.answer not in check.answers:
        what = f"check {given.check!r}" if check is None else f"answer {given.answer!r}"
        raise UnknownId(
            f"The book {book.family!r} has no {what}.",
            where=f"event {given.event}, check {given.check!r}",
            do="Strike this answer and ask again, or use the knowledge that the case began with.",
        )
    return dict(check.evidence[given.answer])


def _deck_facts(book: Book, deck: Deck) -> Iterator[CaseFact]:
    for trait, value in {**deck.traits, **book.given_traits}.items():
        yield CaseFact("trait", trait, value, "deck")
    for name, known in deck.facts.items():
        declared = book.facts.get(name)
        kind = "any" if declared is None else declared.kind
        yield CaseFact("fact", name, _checked(name, known, kind), "deck")
    if deck.age_years is not None:
        yield CaseFact("fact", AGE, _checked(AGE, deck.age_years, "number"), "deck")


def _checked(name: str, value: str | float, kind: str) -> str | float:
    """A fact's value, numbers as float; or a `RuleError` when it is not of its kind."""
    if isinstance(value, str):
        fits, wanted = kind != "number" and (kind == "any" or value in ("yes", "no")), kind
    else:
        value = float(value)
        fits, wanted = kind != "yes_or_no" and isfinite(value), "finite number"
    if fits:
        return value
    wanted = "yes or no" if kind == "yes_or_no" else wanted
    raise RuleError(
        f"The value {value!r} is not a {wanted}.",
        where=f"fact {name!r} of the deck",
        do="Correct it in the deck's particulars, or leave it open when it is not known.",
    )
