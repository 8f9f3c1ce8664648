"""How a cause may have come and gone while a deck was on the bench."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal["mends", "upsets"]


@dataclass(frozen=True, slots=True)
class Touch:
    """A step of the history that can end a cause (`mends`) or bring it about (`upsets`)."""

    step: int
    kind: Kind
    chance: float


@dataclass(frozen=True, slots=True)
class Life:
    """One course of a cause, with its probability.

    Touches divide the time into stretches, numbered from 0. `past` and `now` are the observed
    stretches through which it lasted: one tuple for each time it was there before, and one for
    the time that still lasts (None if the cause is absent now). What it fires it fires once each
    time, for all of its stretches together.
    """

    weight: float
    past: tuple[tuple[int, ...], ...]
    now: tuple[int, ...] | None


def lives(prior: float, touches: tuple[Touch, ...], observed: frozenset[int]) -> tuple[Life, ...]:
    """Every course that the observed stretches can tell apart; weights sum to one.

    After a touch the cause is there if it was and was not cured, or if it was brought about. The
    cause absent throughout comes first and present throughout second when nothing touched it.
    """
    first = (0,) if 0 in observed else ()
    courses: dict[tuple[tuple[tuple[int, ...], ...], tuple[int, ...] | None], float] = {
        ((), None): 1 - prior,
        ((), first): prior,
    }
    for stretch, touch in enumerate(touches, start=1):
        after: dict[tuple[tuple[tuple[int, ...], ...], tuple[int, ...] | None], float] = {}
        seen = (stretch,) if stretch in observed else ()
        for (past, now), weight in courses.items():
            lasting = None if now is None else (*now, *seen)
            after[past, lasting] = after.get((past, lasting), 0.0) + weight * _stays(now, touch)
            if now is not None and touch.kind == "mends":
                ended = (*past, now) if now else past
                after[ended, None] = after.get((ended, None), 0.0) + weight * touch.chance
            elif now is None and touch.kind == "upsets":
                after[past, seen] = after.get((past, seen), 0.0) + weight * touch.chance
        courses = after
    return tuple(Life(weight, past, now) for (past, now), weight in courses.items())


def _stays(now: tuple[int, ...] | None, touch: Touch) -> float:
    """Chance that a touch leaves a cause as it was."""
    changes = (touch.kind == "mends") == (now is not None)
    return 1 - touch.chance if changes else 1.0
