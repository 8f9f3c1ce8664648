"""Facts as the messages that the rule engine compares.

Ids and texts are data, so none of them reaches the engine as it stands: each goes in as the digits
of its bytes. Words and numbers are compared for equality as such tokens, and a word never equals
a number. For above and below, a number goes in as its place among the figures that the rules
compare it with; so the comparison is exact whatever the engine makes of decimals.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from math import isfinite

from diag.errors import RuleError
from diag.model.book import Book
from diag.model.rule import Condition, Rule
from diag.rules.engine import Message
from diag.rules.facts import CaseFact, Telling

Subject = tuple[str, str]
"""What a fact is about: its kind and its id."""


def subject_token(subject: Subject) -> str:
    """The name of a subject in patterns and messages."""
    kind, name = subject
    return f"{kind}_{_digits(name)}"


def value_token(value: str | float) -> str:
    """The name of a value in patterns and messages; equal for equal values only."""
    if isinstance(value, str):
        return f"word_{_digits(value)}"
    return f"number_{float(value) + 0.0!r}"  # adding zero makes -0.0 the same as 0.0


def telling_message(telling: Telling) -> Message:
    """The message for what one answer says of one sign, before or after the same repairs."""
    sign = _digits(telling.sign)
    return {"topic": f"{telling.repairs}_{sign}", "present": int(telling.present)}


def _digits(text: str) -> str:
    return text.encode("utf-8", "surrogatepass").hex()


class Scales:
    """For each subject, the figures that rules compare its number with, in rising order."""

    def __init__(self, book: Book) -> None:
        figures: dict[Subject, set[float]] = {}
        for rule in book.rules.values():
            for condition in rule.when.every_condition():
                known = figures.setdefault(condition.subject, set())
                known.update(_figures(rule, condition))
        self._figures: Mapping[Subject, Sequence[float]] = {
            subject: sorted(known) for subject, known in figures.items() if known
        }

    def place(self, subject: Subject, value: float) -> int:
        """Where a number stands: odd on a figure of the scale, even between two of them."""
        figures = self._figures[subject]
        below = bisect_left(figures, value)
        return 2 * below + (below < len(figures) and figures[below] == value)

    def message(self, fact: CaseFact) -> Message:
        """The message for a fact."""
        subject = (fact.kind, fact.id)
        message: dict[str, str | int] = {
            "subject": subject_token(subject),
            "value": value_token(fact.value),
        }
        if not isinstance(fact.value, str) and subject in self._figures:
            message["place"] = self.place(subject, fact.value)
        return message


def _figures(rule: Rule, condition: Condition) -> list[float]:
    found = [figure for figure in (condition.above, condition.below) if figure is not None]
    if all(map(isfinite, found)):
        return found
    raise RuleError(
        f"The rule {rule.id!r} compares with a figure that is not finite.",
        where=str(rule.origin),
        do="Give `above` and `below` finite numbers.",
    )
