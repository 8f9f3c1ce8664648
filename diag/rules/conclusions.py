"""What the rules conclude, and the facts that made them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from diag.rules.facts import CaseFact

CONTRADICTION = "contradiction"
"""The rule that every book has: two certain answers that disagree on a sign."""


@dataclass(frozen=True, slots=True)
class Because:
    """The rule that concluded, and the facts that fired it, in the order of its conditions."""

    rule: str
    facts: tuple[CaseFact, ...]


class Conflict(NamedTuple):
    """Things told that do not go together, in words, and why that is said."""

    text: str
    because: Because


@dataclass(frozen=True, slots=True)
class Conclusions:
    """All that follows from the facts of a case; each with its first reason.

    A reason rests on facts that were told, or derived by a reason that came before it.
    `raised` is the product of the `raised_by` factors that hold, for each cause with at least
    one; `raised_why` has the facts that they stand on.
    """

    derived: Mapping[str, Because] = field(default_factory=dict)
    cautions: Mapping[str, Because] = field(default_factory=dict)
    thumbs: Mapping[str, Because] = field(default_factory=dict)
    conflicts: tuple[Conflict, ...] = ()
    raised: Mapping[str, float] = field(default_factory=dict)
    raised_why: Mapping[str, tuple[CaseFact, ...]] = field(default_factory=dict)
