"""A deck that is not to be powered: what is looked at again before it is."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from diag.model.history import Given, Mended
from diag.planning.next_step import NextStep
from diag.planning.reasons import hazard_reason, powers_it, without_power
from diag.planning.situation import Situation

MAY_BE_BEHIND = 0.05
"""Probability from which a cause is looked for as what is behind a hazard."""


def look_again(at: Situation) -> NextStep | None:
    """The cheapest check that can tell that a hazard has gone, once it was worked on."""
    for sign in at.hazards:
        if not _is_worked_on(at, sign):
            continue
        looks = [check for check in at.asked if at.book.checks[check].can_deny(sign)]
        if looks:
            best = min(looks, key=lambda check: (at.look_minutes(check), check))
            entry = at.book.checks[best]
            why = hazard_reason(at.book, sign)
            return NextStep("check", best, entry.minutes, at.ways[entry.at], 1.0, "safety", why)
    return None


def hazards_first(at: Situation, steps: list[NextStep]) -> list[NextStep]:
    """The same steps, those first that find or mend what may be behind a hazard.

    They are worth their minutes whatever they tell: with the hazard all that needs power waits.
    """
    if not at.hazards:
        return steps
    behind = {
        cause
        for cause, p in at.now.causes.items()
        if p >= MAY_BE_BEHIND and not at.book.causes[cause].shows.keys().isdisjoint(at.hazards)
    }
    looks = {check for cause in behind for check, _ in at.book.deciding[cause]}
    first, rest = [], []
    for step in steps:
        mends = at.book.mends[step.id] if step.kind == "remedy" else ()
        if step.id in looks or not behind.isdisjoint(mends):
            first.append(replace(step, is_worth_it=True))
        else:
            rest.append(step)
    return [*first, *rest]


def told_why(at: Situation, steps: tuple[NextStep, ...]) -> tuple[NextStep, ...]:
    """The same steps; the first of them says why none powers the deck, if that is so."""
    if not at.hazards or not steps or steps[0].by == "safety":
        return steps
    first = steps[0]
    why = f"{first.why} {without_power(at.book, at.hazards[0])}".strip()
    return (replace(first, why=why), *steps[1:])


def against_choosing(at: Situation, kind: Literal["check", "remedy"], step: str) -> str:
    """Why a step that a person chose had better not be done now; empty if nothing is against it."""
    if not at.hazards:
        return ""
    powers = step in at.too_dangerous if kind == "check" else at.book.remedies[step].live
    return powers_it(at.book, at.hazards[0]) if powers else ""


def _is_worked_on(at: Situation, sign: str) -> bool:
    """Whether a remedy was done, after the last word on a sign, of what can bring it about."""
    worked = False
    for step in at.history.steps:
        if isinstance(step, Given):
            check = at.book.checks.get(step.check)
            worked = worked and not (check and sign in check.evidence.get(step.answer, {}))
        elif isinstance(step, Mended):
            mended = at.book.mends.get(step.remedy, ())
            worked = worked or any(sign in at.book.causes[cause].shows for cause in mended)
    return worked
