"""What a figure of the workshop answers to a check, where both judge it by limits of their own."""

from __future__ import annotations

import sys
from typing import NamedTuple

from diag.model.check import Check
from diag.model.figures import Name
from diag.model.history import Sure
from diag.workshop.told import Told

DIGITS = 4
"""Of a figure that goes into a case; no ruler or tone tape gives more."""
NEAR = 2.0
"""A figure within this ratio of a limit is near it; judgement."""


class AnswerTo(NamedTuple):
    """An answer; without a value it rests on the limits of the sum, not on those of the check."""

    answer: str
    value: float | None
    sure: Sure


def answer_to(check: Check, told: Told) -> AnswerTo | None:
    """The answer of a measuring check to a figure in its unit; None if it has none for it."""
    value = float(f"{told.value:.{DIGITS}g}")
    by_value = check.answer_for(value)
    if by_value is None:
        return None
    answer = _beyond(check, told) or by_value
    return AnswerTo(
        answer, value if answer == by_value else None, _sure(check, told, by_value, answer)
    )


def _sure(check: Check, told: Told, by_value: str, answer: str) -> Sure:
    """Certain only where the limits of the sum and those of the book say the same."""
    if answer != by_value:
        return "fairly"
    is_wrong = bool(check.answers[Name(answer)].present)
    match told.judged:
        case "":
            agree = True
        case "right":
            agree = not is_wrong
        case _:
            agree = is_wrong and answer == _past_all(check, told)
    return "certain" if agree else "fairly"


def _past_all(check: Check, told: Told) -> str | None:
    """The answer of a figure as far out as the sum says that this one is."""
    far = sys.float_info.max
    return check.answer_for(far if told.judged == "high" else -far)


def _beyond(check: Check, told: Told) -> str | None:
    """The answer past all limits of a check, where the sum says so of a figure that is near them.

    A figure that is not near them has been judged by limits that are meant for another machine.
    """
    name = _past_all(check, told) if told.judged in ("low", "high") else None
    if name is None:
        return None
    answer = check.answers[Name(name)]
    border = answer.above if told.judged == "high" else answer.below
    is_near = border and border / NEAR <= told.value <= border * NEAR
    return name if is_near else None
