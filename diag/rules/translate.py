"""Rules and `raised_by` of a book, translated to clauses of patterns for the rule engine.

A group becomes its alternatives, one clause each. The conditions of an alternative on the same
subject become one pattern, because the engine never lets one fact satisfy two patterns.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from diag.errors import RuleError
from diag.model.book import Book
from diag.model.rule import Condition, Rule
from diag.rules.alternatives import Alternative, alternatives, how_many
from diag.rules.conclusions import CONTRADICTION
from diag.rules.engine import Pattern, alias
from diag.rules.messages import Scales, Subject, subject_token, value_token

MOST_ALTERNATIVES = 256
"""A rule with more ways to hold than this is refused: it would slow down every evaluation."""


Operator = Literal["differs", "same"]


@dataclass(frozen=True, slots=True)
class Clause:
    """Patterns that must hold together, and whose they are.

    `name` is a rule's id, or for `raise` a key of `raised_by`.
    """

    kind: Literal["rule", "raise", "contradiction"]
    name: str
    patterns: tuple[Pattern, ...]


def translate(book: Book, scales: Scales) -> tuple[Clause, ...]:
    """All clauses of a book, in the order of its rules.

    Raises:
        RuleError: a rule has more than `MOST_ALTERNATIVES` ways to hold.
    """
    clauses = [clause for rule in book.rules.values() for clause in _rule(rule, book, scales)]
    keys = dict.fromkeys(key for cause in book.causes.values() for key in cause.raised_by)
    clauses += [Clause("raise", key, (_holds(key),)) for key in keys]
    clauses.append(Clause("contradiction", CONTRADICTION, _contradiction()))
    return tuple(clauses)


def _rule(rule: Rule, book: Book, scales: Scales) -> Iterator[Clause]:
    ways = how_many(rule.when)
    if ways > MOST_ALTERNATIVES:
        raise RuleError(
            f"The rule {rule.id!r} has {ways} ways to hold; {MOST_ALTERNATIVES} are allowed.",
            where=str(rule.origin),
            do="Derive a fact from each `any` in a rule of its own, and test those facts here.",
        )
    for alternative in alternatives(rule.when):
        yield Clause("rule", rule.id, _patterns(alternative, book, scales))


def _patterns(alternative: Alternative, book: Book, scales: Scales) -> tuple[Pattern, ...]:
    """One pattern for each subject; a comparison of two subjects stands with the later one."""
    joins = [join for condition in alternative for join in _joins(condition, book)]
    own = [condition.subject for condition in alternative]
    order = list(dict.fromkeys([*own, *(other for _, other, _ in joins)]))
    tests: dict[Subject, list[Pattern]] = {
        subject: [{"subject": subject_token(subject)}] for subject in order
    }
    for condition in alternative:
        tests[condition.subject] += _tests(condition, scales)
    for one, other, operator in joins:
        early, late = sorted((order.index(one), order.index(other)))
        tests[order[late]].append(_compared(operator, early, late))
    return tuple({"$and": each} for each in tests.values())


def _tests(condition: Condition, scales: Scales) -> Iterator[Pattern]:
    """The comparisons of a condition with what the rule says."""
    if condition.equals is not None:
        yield {"value": value_token(condition.equals)}
    if condition.differs is not None:
        yield {"$neq": {"value": value_token(condition.differs)}}
    if condition.one_of:
        yield {"$or": [{"value": value_token(word)} for word in condition.one_of]}
    if condition.above is not None:
        yield {"$gt": {"place": scales.place(condition.subject, condition.above)}}
    if condition.below is not None:
        yield {"$lt": {"place": scales.place(condition.subject, condition.below)}}


def _joins(condition: Condition, book: Book) -> Iterator[tuple[Subject, Subject, Operator]]:
    """The comparisons of a condition with other facts or traits."""
    named: tuple[tuple[str | None, Operator], ...] = (
        (condition.differs_from, "differs"),
        (condition.same_as, "same"),
    )
    for other, operator in named:
        if other is not None:
            kind = "trait" if other in book.traits else "fact"
            yield condition.subject, (kind, other), operator


def _compared(operator: Operator, early: int, late: int) -> Pattern:
    """The value of a pattern's message against that of an earlier pattern's message."""
    if early == late:  # a fact compared with itself
        return {"$ex": {"value": 1}} if operator == "same" else {"$nex": {"value": 1}}
    test = {"value": {alias(early): "value"}}
    return test if operator == "same" else {"$neq": test}


def _holds(key: str) -> Pattern:
    """A fact, told or derived, or a trait, that is yes."""
    subjects = [{"subject": subject_token((kind, key))} for kind in ("fact", "trait")]
    return {"$and": [{"$or": subjects}, {"value": value_token("yes")}]}


def _contradiction() -> tuple[Pattern, Pattern]:
    """One answer says that a sign is present, another that it is absent."""
    absent = {"$and": [{"present": 0}, {"topic": {alias(0): "topic"}}]}
    return {"$and": [{"present": 1}, {"$ex": {"topic": 1}}]}, absent
