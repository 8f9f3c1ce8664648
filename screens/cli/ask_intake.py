"""Taking a deck in by plain prompts."""

from __future__ import annotations

from diag.errors import BenchtrailError
from diag.model.book import Book
from diag.model.trait import Deck
from diag.session.session import Session
from diag.session.shelf import Shelf
from screens.cli.prompts import Prompts, read_number

ENOUGH = "."
"""Typed instead of an answer, it leaves the rest unknown."""


def take_in(shelf: Shelf, prompts: Prompts) -> Session:
    """Ask what a case needs, then what helps; everything but the name may stay unknown."""
    name = ""
    while not name:
        name = prompts.text("What do you call this deck?")
    family = _family(shelf, prompts)
    book = shelf.book(family)
    age = prompts.number("How old is it?", "years")
    names = list(book.symptoms)
    told = prompts.several(
        "What is wrong with it?", [book.symptoms[symptom].says for symptom in names]
    )
    traits, facts = _known(book, prompts)
    story = prompts.text("What did earlier hands do to it? Empty: unknown.")
    deck = Deck(age_years=age, traits=traits, facts=facts)
    return shelf.take_in(name, family, deck, [names[place] for place in told], story)


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


def _known(book: Book, prompts: Prompts) -> tuple[dict[str, str], dict[str, float | str]]:
    """Traits and facts, one prompt each, until somebody has had enough."""
    prompts.say(f"Now what is known of the deck: 0 is unknown, '{ENOUGH}' leaves the rest unknown.")
    traits: dict[str, str] = {}
    facts: dict[str, float | str] = {}
    for fact in book.facts.values():
        typed = prompts.text(f"{fact.ask} {f'({fact.unit}) ' if fact.unit else ''}0: unknown.")
        if typed == ENOUGH:
            return traits, facts
        value = read_number(typed, fact.unit)
        if fact.kind == "number" and value:
            facts[fact.id] = value
        elif fact.kind == "yes_or_no" and typed in ("yes", "no"):
            facts[fact.id] = typed
    for trait in book.traits.values():
        prompts.say(trait.ask)
        prompts.numbered([value.replace("_", " ") for value in trait.one_of])
        typed = prompts.text("  0  unknown")
        if typed == ENOUGH:
            break
        if typed.isdecimal() and 1 <= int(typed) <= len(trait.one_of):
            traits[trait.id] = trait.one_of[int(typed) - 1]
    return traits, facts
