"""One immutable picture of a case, for screens to draw."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diag.cases.fold import CaseState
from diag.model.advice import Caution, Source, Thumb
from diag.model.book import Book
from diag.model.cause import Cause
from diag.model.remedy import Remedy
from diag.planning.next_step import NextStep
from diag.rules.conclusions import Because
from diag.session.assessment import Assessment


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapshot:
    """A case at one moment.

    `revision` is the number of its last event, so that a late worker can't paint an old state.
    `minutes` is the time spent by the figures of the book. `left_out` tells, in words, what the
    book of today no longer has. `trouble` is set instead of an assessment where the answers can't
    be worked out together.
    """

    revision: int
    case: str
    book: Book
    state: CaseState
    minutes: float
    left_out: tuple[str, ...] = ()
    assessment: Assessment | None = None
    trouble: str = ""

    @property
    def next_step(self) -> NextStep | None:
        """The best step, or None when there is nothing left to do."""
        steps = self.assessment.steps if self.assessment else ()
        return steps[0] if steps else None

    @property
    def runner_up(self) -> NextStep | None:
        """The second best."""
        steps = self.assessment.steps if self.assessment else ()
        return steps[1] if len(steps) > 1 else None


@dataclass(frozen=True, slots=True)
class StepView:
    """A check or a remedy with the cautions that stand before it.

    `unread` are the dangers among them that must still be acknowledged before it is shown.
    """

    id: str
    cautions: tuple[Caution, ...]
    unread: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class Weighed:
    """What one answer or complaint says of a cause: decibans for it (above 0) or against it."""

    says: str
    decibans: float
    words: str


@dataclass(frozen=True, slots=True)
class Alike:
    """Another cause that shows some of the same signs; `bounds` as in a `RankedCause`."""

    cause: Cause
    shared: tuple[str, ...]
    probability: float
    bounds: tuple[float, float] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseDetail:
    """Why a cause stands where it does, and what would be done about it.

    `bounds` hold the probability where it is not exact; `is_estimate` says that the decibans are
    estimates, as they are sooner.
    """

    cause: Cause
    probability: float
    bounds: tuple[float, float] | None
    is_estimate: bool
    prior: float
    weighed: tuple[Weighed, ...]
    remedies: tuple[Remedy, ...]
    thumbs: tuple[tuple[Thumb, Source], ...]
    alike: tuple[Alike, ...]
    raised: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Advice:
    """A thumb or caution that the rules brought up, with its reason."""

    entry: Thumb | Caution
    because: Because
