"""What has happened to a deck, as the engine sees it: complaints, answers, repairs, openings."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

Sure = Literal["certain", "fairly"]


@dataclass(frozen=True, slots=True)
class Given:
    """An answer that a check got. `event` numbers it in its case."""

    check: str
    answer: str
    sure: Sure = "certain"
    event: int = 0


@dataclass(frozen=True, slots=True)
class Mended:
    """A remedy that was carried out."""

    remedy: str
    event: int = 0


@dataclass(frozen=True, slots=True)
class Opened:
    """A layer that was opened."""

    layer: str
    event: int = 0


Step = Given | Mended | Opened


@dataclass(frozen=True, slots=True)
class History:
    """The complaints, and all that was done since, in the order in which it was done."""

    symptoms: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()

    def doubted(self) -> History:
        """The same with every answer fairly sure at most."""
        steps = (replace(s, sure="fairly") if isinstance(s, Given) else s for s in self.steps)
        return History(self.symptoms, tuple(steps))
