"""One thing to do next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diag.planning.access import Access

Speaker = Literal["intake", "walk", "planner", "final test", "safety"]


@dataclass(frozen=True, slots=True)
class NextStep:
    """One thing to do.

    `minutes` is its own time and `access.minutes` that of the layers; `saves` is how many minutes
    it is expected to save for each minute that it costs. `by` says who speaks. `together` has the
    checks that are worth their opening only as one block, this one among them. `is_worth_it` is
    false where nothing better is left and it costs more than it saves.
    """

    kind: Literal["check", "remedy"]
    id: str
    minutes: float
    access: Access
    saves: float
    by: Speaker
    why: str = ""
    together: tuple[str, ...] = ()
    is_worth_it: bool = True

    @property
    def all_minutes(self) -> float:
        """Its own minutes and those of opening and closing."""
        return self.minutes + self.access.minutes
