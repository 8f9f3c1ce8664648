"""How far a deck is open: layers form a tree."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isnan, nan

from diag.model.figures import CauseId, CautionId, Entry, LayerId, Minutes, Probability, key

_UNSAID = Minutes(nan)


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer(Entry):
    """One depth of opening.

    `under` is the layer that must be open before; the one layer without it is the closed deck.
    `upsets` is the chance that opening and closing it once brings a cause about.
    """

    says: str = ""
    under: LayerId | None = None
    open_minutes: Minutes = key("open", default=_UNSAID)
    close_minutes: Minutes = key("close", default=_UNSAID)
    upsets: Mapping[CauseId, Probability] = field(default_factory=dict)
    how: str = ""
    before_closing: tuple[str, ...] = ()
    cautions: tuple[CautionId, ...] = ()

    def __post_init__(self) -> None:
        """The closed deck costs nothing to open; every other layer says what it costs."""
        for name in ("open_minutes", "close_minutes"):
            if isnan(getattr(self, name)):
                if self.under is not None:
                    raise ValueError("a layer under another needs `open` and `close` minutes")
                object.__setattr__(self, name, Minutes(0.0))
