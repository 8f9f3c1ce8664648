"""What is fixed about the deck on the bench, and the deck itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from diag.model.figures import Entry, Name, Probability, TraitId

Where = Mapping[TraitId, tuple[Name, ...]]
"""Traits that a deck must have, each with the values that will do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trait(Entry):
    """Something fixed about a deck that decides which faults it can have.

    `shares` is how common each value is among decks that come to a bench; it weighs causes that
    need the trait for as long as its value is not known. A trait of one value is never asked for.
    """

    ask: str
    one_of: tuple[Name, ...]
    how: str = ""
    shares: Mapping[Name, Probability] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact(Entry):
    """A figure or yes-or-no about the deck that rules use, asked at intake.

    `quantity` is what a sum of the workshop calls the figure, if one tells it.
    """

    ask: str
    kind: Literal["number", "yes_or_no"] = "number"
    unit: str = ""
    quantity: Name = Name("")
    how: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Deck:
    """The machine on the bench: traits and facts are only those that are known."""

    age_years: float | None = None
    traits: Mapping[str, str] = field(default_factory=dict)
    facts: Mapping[str, float | str] = field(default_factory=dict)


def fits(where: Where, traits: Mapping[str, str]) -> bool:
    """Whether a deck with these known traits can be one that `where` describes.

    A trait that is not known rules nothing out.
    """
    for trait, values in where.items():  # a generator would take longer than most answers
        if trait in traits and traits[trait] not in values:
            return False
    return True


def share(where: Where, known: Mapping[str, str], traits: Mapping[str, Trait]) -> float:
    """Share of decks with these known traits that are of the kind that `where` describes.

    A trait that is known, or that has no shares, counts as one; traits count as independent.
    """
    found = 1.0
    for name, values in where.items():
        shares = traits[name].shares if name in traits and name not in known else {}
        if shares:
            found *= min(1.0, sum(shares.get(value, 0.0) for value in values))
    return found
