"""Steps that the author of the book leads: the intake and the walks."""

from __future__ import annotations

from dataclasses import replace

from diag.model.history import History
from diag.planning.next_step import NextStep, Speaker
from diag.planning.reasons import intake_reason, walk_reason
from diag.planning.situation import Situation
from diag.planning.walks import walk_step


def intake_step(at: Situation) -> NextStep | None:
    """The next check that every case answers first, or None when all are answered.

    The walk of a complaint that can't wait comes before the intake.
    """
    urgent = tuple(
        name
        for name in at.history.symptoms
        if name in at.book.symptoms and at.book.symptoms[name].before_intake
    )
    if urgent and (step := _walked(at, replace(at.history, symptoms=urgent))) is not None:
        return step
    before = {getattr(step, "check", None) for step in at.history.steps}
    for check in at.book.intake:
        if check in at.asked and check not in before:
            return _led(at, check, "intake", intake_reason())
    return None


def walked_step(at: Situation) -> NextStep | None:
    """The step to which the walk of a complaint has come, or None when all have ended."""
    return _walked(at, at.history)


def _walked(at: Situation, history: History) -> NextStep | None:
    led = walk_step(at.book, at.deck, history, at.put_aside)
    if led is None:
        return None
    return _led(at, led.step.check, "walk", walk_reason(at.book, led.symptom, led.step.why))


def _led(at: Situation, check: str, by: Speaker, why: str) -> NextStep:
    entry = at.book.checks[check]
    return NextStep("check", check, entry.minutes, at.ways[entry.at], 0.0, by, why)
