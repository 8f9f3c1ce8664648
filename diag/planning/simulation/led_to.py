"""Minutes until the planner, asked from the first complaint on, has the true causes in sight."""

from __future__ import annotations

from diag.model.book import Book
from diag.planning.final_test import is_passed
from diag.planning.led import intake_step
from diag.planning.policy import first_step
from diag.planning.simulation.bench import CANT_TELL, Bench
from diag.planning.simulation.drawn_deck import DrawnDeck
from diag.planning.simulation.run import MOST_STEPS
from diag.planning.situation import Situation

IN_SIGHT = 3
"""Place to which a cause counts as found; with several, each may have the others before it."""


def minutes_led(book: Book, drawn: DrawnDeck, cant_tell: float = CANT_TELL) -> float | None:
    """Minutes of checks, openings and remedies until every fault has been in sight or is mended.

    A fault is in sight once it stands among the first `IN_SIGHT` causes, one more for each other
    fault that is still there. None if the tool comes to an end before.
    """
    bench = Bench(book, drawn, cant_tell)
    unseen = set(drawn.causes)
    while bench.steps < MOST_STEPS:
        at = bench.situation()
        unseen &= bench.faults
        unseen -= _in_sight(at, IN_SIGHT + len(bench.faults & drawn.causes) - 1)
        if not unseen:
            return bench.minutes
        step = None if is_passed(at) else intake_step(at) or first_step(at)
        if step is None:
            return None
        bench.take(step)
    return None


def _in_sight(at: Situation, first: int) -> set[str]:
    now = at.now.causes
    return set(sorted(now, key=lambda cause: (-now[cause], cause))[:first])
