"""Taking a deck in by plain prompts."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from diag.cases.text import check_line, check_text
from diag.errors import BenchtrailError, CaseError
from diag.model.book import Book
from diag.model.trait import AGE, Deck, Fact
from diag.session.session import Session
from diag.session.shelf import Shelf
from screens.cli.prompts import Prompts, place_of, read_number

ENOUGH = "."
"""Typed instead of an answer, it leaves the rest unknown."""


@dataclass(frozen=True, slots=True)
class _Question:
    """One thing that may be known of a deck: one of the options, or a number if there are none."""

    id: str
    ask: str
    options: tuple[str, ...] = ()
    unit: str = ""
    fact: Fact | None = None


def take_in(shelf: Shelf, prompts: Prompts) -> Session:
    """Ask what a case needs, then what helps; everything but the name may stay unknown."""
    # The book first: if it can't be used, nothing has been typed in vain.
    family = _family(shelf, prompts)
    book = shelf.book(family)
    name = _checked(prompts, "What do you call this deck?", lambda text: check_line(text, "name"))
    names = list(book.symptoms)
    told = prompts.several(
        "What is wrong with it?", [book.symptoms[symptom].says for symptom in names]
    )
    deck = _known(book, prompts)
    story = _checked(
        prompts,
        "What did earlier hands do to it? It may stay empty.",
        lambda text: check_text(text, "story"),
    )
    return shelf.take_in(name, family, deck, [names[place] for place in told], story)


def _checked(prompts: Prompts, ask: str, check: Callable[[str], None]) -> str:
    """A text that a case can hold."""
    while True:
        typed = prompts.text(ask)
        try:
            check(typed)
        except CaseError as error:
            prompts.say(str(error))
        else:
            return typed


def _family(shelf: Shelf, prompts: Prompts) -> str:
    families = shelf.families()
    if not families:
        raise BenchtrailError(
            "there is no book here.", where=str(shelf.knowledge), do="Name one by --knowledge."
        )
    if len(families) == 1:
        return families[0]
    place = None
    while place is None:
        place = prompts.choice("What kind of machine is it?", families, "ask me again")
    return families[place]


def _known(book: Book, prompts: Prompts) -> Deck:
    """Age, facts and traits, one prompt each, until somebody has had enough."""
    prompts.say(f"Now what is known of the deck. '{ENOUGH}' leaves all the rest unknown.")
    known: dict[str, str | float] = {}
    for question in _questions(book):
        value = _put(prompts, question)
        if value == ENOUGH:
            break
        if value is not None:
            known[question.id] = value
    age = known.pop("age_years", None)
    return Deck(
        age_years=age if isinstance(age, float) else None,
        traits={name: str(value) for name, value in known.items() if name in book.traits},
        facts={name: value for name, value in known.items() if name in book.facts},
    )


def _questions(book: Book) -> Iterator[_Question]:
    yield _Question("age_years", AGE.ask, unit=AGE.unit, fact=AGE)
    for fact in book.facts.values():
        options = ("yes", "no") if fact.kind == "yes_or_no" else ()
        yield _Question(fact.id, fact.ask, options, fact.unit, fact)
    for trait in book.traits.values():
        if trait.id in book.given_traits:
            continue
        yield _Question(trait.id, trait.ask, trait.one_of)


def _put(prompts: Prompts, question: _Question) -> str | float | None:
    """What is answered: an option, a number, `ENOUGH`, or None for unknown."""
    while True:
        prompts.say(question.ask)
        prompts.numbered([option.replace("_", " ") for option in question.options])
        unit = f"in {question.unit}, " if question.unit else ""
        typed = prompts.text("  0  unknown" if question.options else f"  {unit}0: unknown")
        if typed in ("", "0"):
            return None
        if typed == ENOUGH:
            return ENOUGH
        value = _option(question, typed) if question.options else _amount(question, typed)
        try:
            if value is not None and question.fact is not None:
                question.fact.check(value)
        except CaseError as error:
            prompts.say(str(error))
            continue
        if value is not None:
            return value
        prompts.say(f"'{typed[:40]}' does not fit here.")


def _option(question: _Question, typed: str) -> str | None:
    place = place_of(typed, len(question.options))
    return None if place is None else question.options[place]


def _amount(question: _Question, typed: str) -> float | None:
    value = read_number(typed, question.unit)
    return value if value is not None and value > 0 else None
