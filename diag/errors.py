"""Every error that benchtrail raises on purpose, each told for the person at the bench.

BenchtrailError
├── KnowledgeError      the book can't be used: every problem with file and line
│   ├── AdditionsError       a user's additions to it can't be used; the book itself can
│   └── SpecificationError   the limits that a deck is held against can't be read
├── CaseError           a case or case file is not what it should be
├── StoreError          the case store can't be read or written
├── RankFileError       a short YAML case for `rank` is not what it should be
├── UnknownId           an id that the book does not have, with the nearest that it has
├── InferenceError      the network can't be solved as asked
│   └── ImpossibleEvidence   nothing in the book can give these answers together
├── RuleError           the rule engine refused a rule or a fact
├── MeasureError        a capture can't be measured: what was found in it and what to do
├── SimulationError     decks can't be drawn from the book as asked
└── ExportError         a trail can't be written where it was asked for
"""

from __future__ import annotations

from dataclasses import dataclass


class BenchtrailError(Exception):
    """Root of the family: what was found, where, and what to do next.

    Args:
        found: what was found, one sentence.
        where: file, line, event or id that it concerns; empty if nowhere in particular.
        do: what the person can do about it; empty if nothing.
    """

    def __init__(self, found: str, *, where: str = "", do: str = "") -> None:
        super().__init__(found, where, do)
        self.found = found
        self.where = where
        self.do = do

    def __str__(self) -> str:
        """The whole message on one line."""
        head = f"{self.where}: {self.found}" if self.where else self.found
        return f"{head} {self.do}".rstrip()


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong in a knowledge file."""

    path: str
    line: int
    found: str
    do: str = ""

    def __str__(self) -> str:
        """`path:line: found do`, as editors can follow it."""
        return f"{self.path}:{self.line}: {self.found} {self.do}".rstrip()


class KnowledgeError(BenchtrailError):
    """A book can't be used; carries every problem found in one run."""

    summary = "The book can't be used"

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        first = problems[0]
        more = f" ({len(problems) - 1} more)" if len(problems) > 1 else ""
        super().__init__(first.found + more, where=f"{first.path}:{first.line}", do=first.do)
        self.problems = problems


class AdditionsError(KnowledgeError):
    """A user's additions can't be used, and are left out; the book itself can."""

    summary = "Your additions to the book are left out until they are mended"


class SpecificationError(KnowledgeError):
    """A specification can't be used; carries every problem of its file."""

    summary = "The specification can't be used"


class CaseError(BenchtrailError):
    """A case or a case file is not what it should be."""


class StoreError(BenchtrailError):
    """The case store can't be read or written."""


class RankFileError(BenchtrailError):
    """A short YAML case is not what it should be."""


class UnknownId(BenchtrailError):
    """An id that the book does not have."""


class InferenceError(BenchtrailError):
    """The network can't be solved as asked."""


class ImpossibleEvidence(InferenceError):
    """No state of the deck that the book knows gives all these answers together."""


class RuleError(BenchtrailError):
    """The rule engine refused a rule or a fact."""


class MeasureError(BenchtrailError):
    """A capture can't be measured as it is."""


class SimulationError(BenchtrailError):
    """Decks can't be drawn from the book as asked."""


class ExportError(BenchtrailError):
    """A trail can't be written where it was asked for."""
