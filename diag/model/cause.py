"""Signs and the causes that bring them about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diag.model.figures import (
    CauseId,
    Entry,
    FactId,
    Factor,
    Prior,
    Probability,
    RemedyId,
    SignId,
    ThumbId,
)
from diag.model.trait import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign(Entry):
    """One yes-or-no fact about a deck's behaviour or condition.

    `leak` is the chance of the sign when none of the causes that the book knows is present.
    `no_power` marks a hazard: while it is there the deck is not to be powered.
    """

    says: str
    leak: Probability
    no_power: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause(Entry):
    """A fault that can be present on its own.

    `shows` is the chance that this cause alone brings each sign about; `raised_by` multiplies the
    odds of the prior for each derived fact or yes-or-no trait that holds.
    """

    says: str
    prior: Prior
    shows: Mapping[SignId, Probability]
    part: str = ""
    how: str = ""
    where: Where = field(default_factory=dict)
    raised_by: Mapping[FactId, Factor] = field(default_factory=dict)
    mended_by: tuple[RemedyId, ...] = ()
    cites: tuple[ThumbId, ...] = ()
    looks_like: tuple[CauseId, ...] = ()
