"""Whether the next step hangs on the share that a book gives a cause."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from diag.inference.posterior import solve
from diag.planning.next_step import NextStep
from diag.planning.policy import next_steps
from diag.planning.situation import Situation
from diag.planning.stability import OFF, scaled_share


@dataclass(frozen=True, slots=True)
class NewStep:
    """The step that comes next if the odds of a cause at the start are `factor` times as high."""

    cause: str
    factor: float
    book_share: float
    share: float
    step: NextStep | None


def new_steps(at: Situation, causes: Sequence[str], now: NextStep | None) -> tuple[NewStep, ...]:
    """Which of these causes' shares, halved or doubled in odds, would change the next step.

    Each is solved and planned anew, which may take a second in all. What the intake or a walk asks
    next hangs on no figure.

    Args:
        at: the situation.
        causes: the causes to try.
        now: the step that comes next as things are.
    """
    if now is not None and now.by in ("intake", "walk"):
        return ()
    found = []
    for cause in causes:
        for factor in (1.0 / OFF, OFF):
            book_share = at.network.start[cause]
            share = scaled_share(book_share, factor)
            scaled = replace(at.network, start={**at.network.start, cause: share})
            steps = next_steps(replace(at, network=scaled, now=solve(scaled)))
            step = steps[0] if steps else None
            if _what(step) != _what(now):
                found.append(NewStep(cause, factor, book_share, share, step))
    return tuple(found)


def _what(step: NextStep | None) -> tuple[str, str] | None:
    return (step.kind, step.id) if step else None
