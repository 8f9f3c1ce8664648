"""Which answers that nobody has given yet would put another cause first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diag.planning.blocks import LEAST_MINUTES
from diag.planning.gain import CheckGain, check_gains
from diag.planning.screening import promising
from diag.planning.situation import Situation

BATCHES = 8
"""Batches of checks that are worked out; only on a wide network one is not enough."""
CLEARLY = 1e-9
"""How far a cause must be above the first to take its place; closer is rounding."""
PLAUSIBLE = 0.01
"""Least chance of an answer that is told as the one that moves a cause most."""


@dataclass(frozen=True, slots=True)
class Turn:
    """What one answer would do to a cause.

    `chance` is that of the answer and `minutes` what the check costs with its access. `first` is
    the cause that would be most probable then, and `to` what the cause in question would come to.
    """

    check: str
    answer: str
    chance: float
    minutes: float
    first: str
    to: float

    @property
    def chance_a_minute(self) -> float:
        """Chance of the answer for each minute of asking."""
        return self.chance / max(self.minutes, LEAST_MINUTES)


@dataclass(frozen=True, slots=True)
class Toppling:
    """The answers that would topple a cause, or bring it to the top.

    `turns` would put another cause first or, if another is first, this one; the most chance for
    its minutes comes first. `most` moves the cause most of all that do neither; it is given only
    where there are no turns. `unseen` counts open checks that were left out as too wide.
    """

    cause: str
    is_first: bool
    turns: tuple[Turn, ...]
    most: Turn | None
    unseen: int


def toppling(at: Situation, gains: Sequence[CheckGain], cause: str) -> Toppling:
    """What single answers would do to the standing of a cause.

    Args:
        at: the situation.
        gains: what `open_gains` found for it.
        cause: the cause in question, one that the deck can have.
    """
    first = first_cause(at.now.causes)
    is_first = cause == first
    all_turns = [turn for gain in gains for turn in _turns(at, gain, cause, first)]
    turns = [turn for turn in all_turns if (turn.first == cause) is not is_first]
    turns.sort(key=lambda turn: (-turn.chance_a_minute, turn.check, turn.answer))
    telling = sum(bool(at.book.checks[check].signs) for check in at.asked)
    return Toppling(
        cause=cause,
        is_first=is_first,
        turns=tuple(turns),
        most=None if turns else _most(all_turns, at.now.causes[cause], is_first=is_first),
        unseen=telling - len(gains),
    )


def open_gains(at: Situation) -> tuple[CheckGain, ...]:
    """What every open check would tell; on a very wide network only the most promising ones."""
    best = promising(at.book, at.now, at.asked, at.ways)
    left = [*best, *(check for check in at.asked if check not in best)]
    found: list[CheckGain] = []
    for _ in range(BATCHES):
        batch = check_gains(at.book, at.network, at.now, left)
        found += batch
        seen = {gain.check for gain in batch}
        left = [check for check in left if check not in seen]
    return tuple(found)


def first_cause(causes: Mapping[str, float]) -> str:
    """The most probable cause; of equals, the one whose id comes first."""
    return min(causes, key=lambda cause: (-causes[cause], cause))


def _turns(at: Situation, gain: CheckGain, cause: str, first: str) -> Iterator[Turn]:
    """What each answer of a check would do, if it can come at all."""
    check = at.book.checks[gain.check]
    minutes = check.minutes + at.ways[check.at].minutes
    column = gain.causes.index(cause)
    standing = gain.after.copy()
    standing[:, gain.causes.index(first)] += CLEARLY
    leaders = standing.argmax(axis=1)
    for row, answer in enumerate(check.answers):
        chance = float(gain.chance[row])
        if chance > 0.0:
            leader = gain.causes[int(leaders[row])]
            yield Turn(check.id, answer, chance, minutes, leader, float(gain.after[row, column]))


def _most(turns: Sequence[Turn], now: float, *, is_first: bool) -> Turn | None:
    """The plausible answer that moves a cause furthest the way in which it would change places."""
    side = -1 if is_first else 1
    moving = [t for t in turns if t.chance >= PLAUSIBLE and side * (t.to - now) > CLEARLY]
    return max(moving, key=lambda turn: side * (turn.to - now), default=None)
