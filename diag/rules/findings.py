"""Firings of clauses, gathered to conclusions; the first reason for each stands."""

from __future__ import annotations

from collections.abc import Sequence
from math import prod

from diag.model.book import Book
from diag.model.figures import Name
from diag.model.rule import Conclusion
from diag.rules.conclusions import Because, Conclusions, Conflict
from diag.rules.facts import CaseFact
from diag.rules.translate import Clause


class Findings:
    """What has been concluded so far in one evaluation.

    A fact that was told is not derived again: what the deck says stands.
    """

    def __init__(self, book: Book, told: Sequence[CaseFact]) -> None:
        self._book = book
        self._told = {fact.id for fact in told if fact.kind == "fact"}
        self._answers = {fact.id: str(fact.value) for fact in told if fact.kind == "check"}
        self._derived: dict[str, Because] = {}
        self._cautions: dict[str, Because] = {}
        self._thumbs: dict[str, Because] = {}
        self._conflicts: dict[tuple[object, ...], Conflict] = {}
        self._raising: dict[str, CaseFact] = {}

    def take(self, clause: Clause, facts: tuple[CaseFact, ...]) -> list[CaseFact]:
        """Note what follows from a clause that holds; give the facts newly derived."""
        because = Because(clause.name, facts)
        if clause.kind == "raise":
            self._raising.setdefault(clause.name, facts[0])
        elif clause.kind == "contradiction":
            self._conflicts[facts] = Conflict(self._disagreement(*facts), because)
        else:
            conclusions = self._book.rules[clause.name].then
            return [fact for each in conclusions for fact in self._conclude(each, because)]
        return []

    def _conclude(self, conclusion: Conclusion, because: Because) -> list[CaseFact]:
        if conclusion.caution is not None:
            self._cautions.setdefault(conclusion.caution, because)
        elif conclusion.cite is not None:
            self._thumbs.setdefault(conclusion.cite, because)
        elif conclusion.conflict is not None:
            said = conclusion.conflict
            self._conflicts.setdefault((because.rule, said), Conflict(said, because))
        elif conclusion.derive not in self._told and conclusion.derive not in self._derived:
            name = str(conclusion.derive)
            self._derived[name] = because
            return [CaseFact("fact", name, "yes", because.rule)]
        return []

    def _disagreement(self, present: CaseFact, absent: CaseFact) -> str:
        sign = self._book.signs.get(present.id)
        on = present.id if sign is None else sign.says
        yes, no = map(self._answer, (present.told_by, absent.told_by))
        return f"Two answers disagree on “{on}”: yes by {yes}; no by {no}"

    def _answer(self, check: str) -> str:
        """A check and the answer that it got, in the words of the book."""
        asked, given = self._book.checks[check], Name(self._answers[check])
        return f"“{asked.ask}” with “{asked.answers[given].says or given}”"

    def conclusions(self) -> Conclusions:
        """All of it, with the factors of every cause that is raised."""
        causes = self._book.causes.values()
        held = {c.id: [key for key in c.raised_by if key in self._raising] for c in causes}
        raised = {cause: keys for cause, keys in held.items() if keys}
        factors = {cause: self._book.causes[cause].raised_by for cause in raised}
        return Conclusions(
            derived=self._derived,
            cautions=self._cautions,
            thumbs=self._thumbs,
            conflicts=tuple(self._conflicts.values()),
            raised={c: prod(float(factors[c][k]) for k in keys) for c, keys in raised.items()},
            raised_why={c: tuple(self._raising[k] for k in keys) for c, keys in raised.items()},
        )
