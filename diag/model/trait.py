"""What is fixed about the deck on the bench, and the deck itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from diag.errors import CaseError
from diag.model.figures import Entry, Name, Probability, TraitId
from diag.model.quantity import figure

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

    `quantity` is what a sum of the workshop calls the figure, if one tells it. `range` is the
    least and the most that can be, in `unit`, both allowed; empty if nothing bounds it.
    """

    ask: str
    kind: Literal["number", "yes_or_no"] = "number"
    unit: str = ""
    range: tuple[float, ...] = ()
    quantity: Name = Name("")
    how: str = ""

    def __post_init__(self) -> None:
        """Refuse a range that bounds nothing.

        Raises:
            ValueError: it is no rising pair, or the fact is no number.
        """
        if self.range and self.kind != "number":
            raise ValueError("range: only a number has one")
        if self.range and (len(self.range) != 2 or self.range[0] >= self.range[1]):
            found = ", ".join(f"{end:g}" for end in self.range)
            raise ValueError(f"range: the least and then the most is wanted; found [{found}]")

    @property
    def ends(self) -> str:
        """The range in words with its unit; empty if there is none."""
        if not self.range:
            return ""
        least, most = map(figure, self.range)
        return f"{least} to {most} {self.unit}".rstrip()

    def check(self, value: float | str) -> None:
        """Refuse a number that can't be; words are for the rules to judge.

        Raises:
            CaseError: it lies outside of `range`.
        """
        if not self.range or isinstance(value, str):
            return
        least, most = self.range
        if not least <= value <= most:
            raise CaseError(
                f"{f'{value:g} {self.unit}'.rstrip()} can't be; {self.ends} can.",
                where=self.id.replace("_", " "),
                do="Look again, or leave it unknown.",
            )


AGE = Fact(id="age", ask="How old is it?", unit="years", range=(0.0, 120.0))
"""Of every deck. Recorders for coated tape are of the 1930s and later (from memory), so that the
range leaves out slips of a finger and nothing else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Deck:
    """The machine on the bench: traits and facts are only those that are known."""

    age_years: float | None = None
    traits: Mapping[str, str] = field(default_factory=dict)
    facts: Mapping[str, float | str] = field(default_factory=dict)


def check_deck(deck: Deck, facts: Mapping[str, Fact]) -> None:
    """Refuse a deck of which a number can't be.

    Args:
        deck: what is told of it.
        facts: those of its book; others are let be.

    Raises:
        CaseError: a number lies outside of its range.
    """
    if deck.age_years is not None:
        AGE.check(deck.age_years)
    for name, value in deck.facts.items():
        if name in facts:
            facts[name].check(value)


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
