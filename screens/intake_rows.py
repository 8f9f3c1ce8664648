"""What is asked of a deck at intake, as rows; and from the rows back to a deck. Nothing drawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from diag.errors import CaseError
from diag.model.trait import AGE as AGE_OF_DECK
from diag.model.trait import Deck, Fact
from screens.numbers import number_of

if TYPE_CHECKING:
    from diag.model.book import Book

NAME, FAMILY, AGE, SYMPTOMS, STORY = "name", "family", "age", "symptoms", "story"
UNKNOWN = "unknown"
UNITS = {"hz": "Hz"}
YES_OR_NO = (("yes", "Yes"), ("no", "No"))


@dataclass(frozen=True, slots=True)
class Row:
    """One thing to say of a deck.

    `options` are pairs of a value and its words; `key` is the id of a trait or fact of the book;
    `fact` bounds a number.
    """

    id: str
    label: str
    ask: str
    kind: Literal["text", "number", "one", "many"]
    how: str = ""
    options: tuple[tuple[str, str], ...] = ()
    unit: str = ""
    key: str = ""
    fact: Fact | None = None


Values = Mapping[str, str | tuple[str, ...]]
"""What was said: row id -> text, number as typed, value; a tuple for `many`."""


def rows(book: Book, families: Sequence[str]) -> tuple[Row, ...]:
    """Every row, the needed ones first."""
    symptoms = tuple((s.id, s.says) for s in book.symptoms.values())
    family = Row(
        FAMILY,
        "Family",
        "What kind of machine is it?",
        "one",
        options=tuple((name, words(name)) for name in families),
    )
    return (
        Row(
            NAME,
            "Name",
            "What shall this deck be called?",
            "text",
            "A name that you will know it by.",
        ),
        *((family,) if len(families) > 1 else ()),
        Row(SYMPTOMS, "Complaints", "What does the owner complain of?", "many", options=symptoms),
        Row(
            AGE,
            "Age",
            AGE_OF_DECK.ask,
            "number",
            "Years since it was made; a guess will do.",
            unit=AGE_OF_DECK.unit,
            fact=AGE_OF_DECK,
        ),
        *(
            Row(
                f"fact {fact.id}",
                words(fact.id),
                fact.ask,
                "number" if fact.kind == "number" else "one",
                fact.how,
                () if fact.kind == "number" else YES_OR_NO,
                fact.unit,
                fact.id,
                fact,
            )
            for fact in book.facts.values()
        ),
        *(
            Row(
                f"trait {trait.id}",
                words(trait.id),
                trait.ask,
                "one",
                _in_words(trait.how, trait.one_of),
                tuple((str(value), words(value)) for value in trait.one_of),
                key=trait.id,
            )
            for trait in book.traits.values()
            if trait.id not in book.given_traits
        ),
        Row(STORY, "Story", "What is known of it? What did earlier hands do?", "text"),
    )


def words(name: str) -> str:
    """An id as words: `reel_drive` -> `Reel drive`, `local_hz` -> `Local Hz`."""
    return " ".join(UNITS.get(word, word) for word in name.capitalize().split("_"))


def _in_words(how: str, values: Sequence[str]) -> str:
    """An author names values by their ids; a person reads them as words."""
    for value in values:
        how = how.replace(value, value.replace("_", " "))
    return how


def values_of(name: str, deck: Deck, story: str, symptoms: Sequence[str]) -> dict[str, object]:
    """What is known already, by row."""
    found: dict[str, object] = {NAME: name, STORY: story, SYMPTOMS: tuple(symptoms)}
    if deck.age_years is not None:
        found[AGE] = f"{deck.age_years:g}"
    found |= {f"trait {trait}": value for trait, value in deck.traits.items()}
    for fact, value in deck.facts.items():
        found[f"fact {fact}"] = value if isinstance(value, str) else f"{value:g}"
    return found


def number_in(row: Row, typed: str) -> float:
    """What was typed into a row for a number.

    Raises:
        CaseError: it is no number, or one that can't be.
    """
    value = number_of(typed)
    if row.fact is not None:
        row.fact.check(value)
    return value


def first_wrong(listed: Sequence[Row], values: Mapping[str, object]) -> int | None:
    """The place of the first row whose number is none, or can't be."""
    return next((at for at, row in enumerate(listed) if is_wrong(row, values)), None)


def is_wrong(row: Row, values: Mapping[str, object]) -> bool:
    """Whether a row holds a number that is none, or can't be."""
    typed = values.get(row.id)
    if row.kind != "number" or not typed:
        return False
    try:
        number_in(row, str(typed))
    except CaseError:
        return True
    return False


def deck_of(listed: Sequence[Row], values: Mapping[str, object]) -> Deck:
    """The deck that the rows describe.

    Raises:
        CaseError: a number is none, or can't be.
    """
    traits: dict[str, str] = {}
    facts: dict[str, float | str] = {}
    for row in listed:
        value = values.get(row.id)
        if not value or not row.key:
            continue
        if row.id.startswith("trait "):
            traits[row.key] = str(value)
        else:
            facts[row.key] = number_in(row, str(value)) if row.kind == "number" else str(value)
    age = values.get(AGE)
    years = next((number_in(row, str(age)) for row in listed if age and row.id == AGE), None)
    return Deck(age_years=years, traits=traits, facts=facts)


def value_words(row: Row, values: Mapping[str, object]) -> str:
    """What was said in a row, in words; `unknown` if nothing was."""
    value = values.get(row.id)
    if not value:
        return "none told" if row.kind == "many" else "-" if row.kind == "text" else UNKNOWN
    said: dict[str, str] = dict(row.options)
    if isinstance(value, tuple):
        return "; ".join(str(said.get(each, each)) for each in value)
    if row.kind == "one":
        return said.get(str(value), str(value))
    return f"{value} {row.unit}".rstrip()
