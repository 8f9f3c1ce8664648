"""Checks: a question, a look or a measurement, and what each answer says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from math import isfinite

from diag.model.figures import (
    CautionId,
    CheckId,
    Entry,
    LayerId,
    Minutes,
    Name,
    SignId,
    ThumbId,
)
from diag.model.trait import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer(Entry):
    """One answer of a check. `below` and `above` are the band of a measured value that it names."""

    says: str = ""
    present: tuple[SignId, ...] = ()
    absent: tuple[SignId, ...] = ()
    below: float | None = None
    above: float | None = None

    def holds_for(self, value: float) -> bool:
        """Whether a measured value lies in this answer's band."""
        return (self.below is None or value < self.below) and (
            self.above is None or value > self.above
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """What a measuring check reads."""

    quantity: Name
    unit: str = ""


@dataclass(frozen=True, kw_only=True)
class Check(Entry):
    """A question, a look or a measurement.

    `answers` is a decision list: the first answer that fits is the one given.
    `live` marks a check at which the deck is powered; `unpowered` are checks by which the same can
    be found out with the plug pulled, `needs_power` says why there is none. `not_while` are signs
    with which there is nothing to find out: no sound is heard of a tape that doesn't go in.
    """

    ask: str
    at: LayerId
    minutes: Minutes
    answers: Mapping[Name, Answer]
    how: str = ""
    good: str = ""
    live: bool = False
    unpowered: tuple[CheckId, ...] = ()
    needs_power: str = ""
    not_while: tuple[SignId, ...] = ()
    tools: tuple[str, ...] = ()
    cautions: tuple[CautionId, ...] = ()
    cites: tuple[ThumbId, ...] = ()
    where: Where = field(default_factory=dict)
    measures: Measures | None = None

    @cached_property
    def evidence(self) -> Mapping[str, Mapping[str, bool]]:
        """What each answer says: answer id -> sign id -> present or absent.

        An answer's own `present` and `absent`, and the `present` signs of every answer above it
        absent, unless it lists them itself.
        """
        said: dict[str, Mapping[str, bool]] = {}
        above: list[str] = []
        for name, answer in self.answers.items():
            signs: dict[str, bool] = dict.fromkeys(above, False)
            signs |= dict.fromkeys(answer.absent, False)
            signs |= dict.fromkeys(answer.present, True)
            said[name] = signs
            above += [sign for sign in answer.present if sign not in above]
        return said

    @cached_property
    def signs(self) -> tuple[str, ...]:
        """Every sign that some answer speaks of, in order of first mention."""
        return tuple(dict.fromkeys(s for said in self.evidence.values() for s in said))

    def can_deny(self, sign: str) -> bool:
        """Whether some answer says that a sign is absent."""
        return any(said.get(sign) is False for said in self.evidence.values())

    def answer_for(self, value: float) -> str | None:
        """The first answer whose band holds a measured value, or None."""
        if not isfinite(value):
            return None
        return next((n for n, answer in self.answers.items() if answer.holds_for(value)), None)
