"""One deck under one policy, from the intake to the end."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from diag.model.book import Book
from diag.planning.final_test import final_steps, is_passed
from diag.planning.led import intake_step
from diag.planning.next_step import NextStep
from diag.planning.policy import has_hope, is_outside
from diag.planning.simulation.bench import CANT_TELL, Bench
from diag.planning.simulation.clairvoyant import clairvoyant_minutes
from diag.planning.simulation.drawn_deck import DrawnDeck
from diag.planning.simulation.looks import Looks
from diag.planning.simulation.policies import POLICIES
from diag.planning.situation import Situation

End = Literal["passed", "outside", "gave up"]

MOST_STEPS = 250
"""Steps after which a run counts as given up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """How one deck went.

    Attributes:
        minutes: until the end.
        comeback_minutes: what a clairvoyant needs to mend what is left when the deck comes back,
            final test included; 0 where nothing is left.
        end: the final test passed, the tool said that the fault lies outside its book, or nothing
            was left to do.
        left: faults that are still there.
        wasted: remedies that had nothing to mend.
        steps: checks and remedies.
    """

    minutes: float
    comeback_minutes: float
    end: End
    left: tuple[str, ...]
    wasted: int
    steps: int

    @property
    def all_minutes(self) -> float:
        """Minutes to all faults mended, coming back for those that were left included."""
        return self.minutes + self.comeback_minutes


def run(
    book: Book,
    drawn: DrawnDeck,
    policy: str,
    cant_tell: float = CANT_TELL,
    believed: Book | None = None,
) -> Run:
    """Work on a deck until it is well, or nothing is left to do.

    The deck is true to `book`; the policy goes by `believed`, which is the same by default.
    """
    if policy == "clairvoyant":
        return _clairvoyant(book, drawn)
    bench, decide = Bench(book, drawn, cant_tell, believed), POLICIES[policy]
    looks = Looks(believed or book, drawn.deck)
    end: End = "gave up"
    while bench.steps < MOST_STEPS:
        at = bench.situation()
        if is_passed(at):
            end = "passed"
            break
        step = intake_step(at) or decide(at, looks)
        if _is_called_outside(at, step):
            end = "outside"
            break
        if step is None:
            break
        bench.take(step)
    done = Run(
        minutes=bench.minutes,
        comeback_minutes=0.0,
        end=end,
        left=tuple(sorted(bench.faults)),
        wasted=bench.wasted,
        steps=bench.steps,
    )
    bench.close()
    return replace(
        done, comeback_minutes=clairvoyant_minutes(book, drawn, bench) if done.left else 0
    )


def _clairvoyant(book: Book, drawn: DrawnDeck) -> Run:
    bench = Bench(book, drawn)
    minutes = clairvoyant_minutes(book, drawn, bench)
    return Run(
        minutes=minutes,
        comeback_minutes=0.0,
        end="passed",
        left=tuple(sorted(bench.faults)),
        wasted=0,
        steps=0,
    )


def _is_called_outside(at: Situation, step: NextStep | None) -> bool:
    """Whether the tool says, instead of the best step, that the fault lies outside its book."""
    if step is not None and step.is_worth_it:
        return False
    if step is not None and not has_hope(at, [step]):
        return True
    return not final_steps(at) and is_outside(at)
