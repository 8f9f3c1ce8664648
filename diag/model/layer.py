"""How far a deck is open: layers form a tree."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diag.model.figures import CauseId, CautionId, Entry, LayerId, Minutes, Probability, key


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer(Entry):
    """One depth of opening.

    `under` is the layer that must be open before; the one layer without it is the closed deck.
    `upsets` is the chance that opening and closing it once brings a cause about.
    """

    says: str = ""
    under: LayerId | None = None
    open_minutes: Minutes = key("open", default=Minutes(0.0))
    close_minutes: Minutes = key("close", default=Minutes(0.0))
    upsets: Mapping[CauseId, Probability] = field(default_factory=dict)
    how: str = ""
    before_closing: tuple[str, ...] = ()
    cautions: tuple[CautionId, ...] = ()
