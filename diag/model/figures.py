"""Ids, figures and the place in a file where an entry stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import exp, inf, log
from typing import Any, NewType

SignId = NewType("SignId", str)
CauseId = NewType("CauseId", str)
CheckId = NewType("CheckId", str)
RemedyId = NewType("RemedyId", str)
LayerId = NewType("LayerId", str)
TraitId = NewType("TraitId", str)
ThumbId = NewType("ThumbId", str)
CautionId = NewType("CautionId", str)
SymptomId = NewType("SymptomId", str)
WalkId = NewType("WalkId", str)
SourceId = NewType("SourceId", str)
FactId = NewType("FactId", str)
"""A fact of the deck that is no trait (`strap_hz`), or one that a rule derives (`strap_wrong`)."""
Name = NewType("Name", str)
"""A lower_snake_case word that refers to nothing: the id of an answer or the value of a trait."""

Probability = NewType("Probability", float)
"""From 0 to 1, both allowed."""
Minutes = NewType("Minutes", float)
"""Time of a competent hand with the parts there; zero or more."""
Factor = NewType("Factor", float)
"""Multiplies odds; more than zero."""
Years = NewType("Years", float)
"""Age since the deck was made; zero or more."""


ADDITIONS = "additions"
"""How the folder of a user's own entries is called in the origins of what it holds."""


@dataclass(frozen=True, slots=True)
class Origin:
    """Where in the knowledge an entry stands; `line` counts from 1."""

    path: str = ""
    line: int = 0

    @property
    def is_addition(self) -> bool:
        """Whether the entry is one of the user's own."""
        return self.path.startswith(f"{ADDITIONS}/")

    def __str__(self) -> str:
        """`path:line`, as editors can follow it."""
        return f"{self.path}:{self.line}"


def key(name: str, **more: Any) -> Any:
    """A dataclass field whose key in YAML is `name`, where Python needs another word."""
    return field(metadata={"key": name}, **more)


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What every entry of a book has.

    `basis` maps a field (or `field.key`; the empty string is the entry itself) to the words that
    say where its figure comes from.
    """

    id: str
    origin: Origin = field(default=Origin(), compare=False, repr=False)
    basis: Mapping[str, str] = field(default_factory=dict, repr=False)


@dataclass(frozen=True, slots=True)
class Prior:
    """Share of decks of an age that come to the bench with a cause.

    `by_age` holds (age in years, probability) pairs in rising age; a single pair stands for
    every age.
    """

    by_age: tuple[tuple[Years, Probability], ...]

    def at(self, age_years: float) -> float:
        """Probability at an age: straight between the pairs on log-odds, level outside them."""
        low, p_low = self.by_age[0]
        if age_years <= low:
            return float(p_low)
        for high, p_high in self.by_age[1:]:
            if age_years == high:
                return float(p_high)
            if age_years < high:
                share = (age_years - low) / (high - low)
                return probability((1 - share) * log_odds(p_low) + share * log_odds(p_high))
            low, p_low = high, p_high
        return float(p_low)


def log_odds(p: float) -> float:
    """Natural logarithm of the odds of a probability; infinite at 0 and 1."""
    if p <= 0:
        return -inf
    return inf if p >= 1 else log(p) - log(1 - p)


def probability(odds_log: float) -> float:
    """The probability whose natural log-odds are given."""
    if odds_log >= 0:
        return 1 / (1 + exp(-odds_log))
    return exp(odds_log) / (1 + exp(odds_log))
