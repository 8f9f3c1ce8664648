"""The story of a case as a value; renderers only lay it out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from diag.trail.before_after import Compared
from diag.trail.judged import Judged


@dataclass(frozen=True, slots=True)
class Belief:
    """A cause with its probability at one moment."""

    id: str
    says: str
    probability: float
    is_addition: bool = False


@dataclass(frozen=True, slots=True)
class CautionTold:
    """A caution that stood before a step; a danger was acknowledged or it was not."""

    says: str
    severity: str
    acknowledged: bool


@dataclass(frozen=True, slots=True)
class ThumbTold:
    """A rule of thumb with the standing and the title of its source."""

    says: str
    standing: str
    source: str
    is_addition: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TrailStep:
    """One event.

    `kind` is its word in a case file; `sure` how sure an answer is (`certain`, `fairly`,
    `cant_tell`, `skipped`), empty for all else. `before` and `after` hold the first causes around
    it, if it moved them.
    """

    number: int
    at: datetime
    kind: str
    says: str
    sure: str
    minutes: float
    struck: bool
    before: tuple[Belief, ...] = ()
    after: tuple[Belief, ...] = ()
    cautions: tuple[CautionTold, ...] = ()
    thumbs: tuple[ThumbTold, ...] = ()
    is_addition: bool = False


@dataclass(frozen=True, slots=True)
class RemedyTold:
    """A remedy that was done or given up, with the parts that it takes."""

    says: str
    outcome: str
    parts: tuple[str, ...]
    note: str
    is_addition: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ThingTold:
    """What came off or out of place; `number` is the event, and stands on its label.

    `left` of it are not accounted for; `returned` says what became of the others.
    """

    number: int
    layer: str
    says: str
    left: int
    returned: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartTold:
    """A part that the deck needs, for which work, and how it stands; `price` is that of one."""

    part: str
    work: str
    state: str
    count: int
    price: float | None
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Trail:
    """All that the next sitting, or the next owner, needs to know.

    `things` has all that came off, layer by layer, `parts` what the deck needs.
    `measured` has the figures and curves of recordings, `judged` those figures against a
    specification. `minutes` is the sum of the book's figures
    for all that holds. `ranking` is the last one.
    `trouble` says why the answers can't be worked out as they were given; empty if they can.
    `begun_with` is the digest of the book when the deck was last told, `book_digest` that of the
    book by which this is told. `is_addition`, here as in all its parts, marks what comes from the
    user's own additions to the book.
    """

    case: str
    name: str
    family: str
    known: tuple[tuple[str, str], ...]
    story: str
    complaints: tuple[str, ...]
    started: datetime
    touched: datetime
    steps: tuple[TrailStep, ...]
    remedies: tuple[RemedyTold, ...]
    things: tuple[ThingTold, ...]
    parts: tuple[PartTold, ...]
    measured: tuple[Compared, ...]
    judged: Judged | None
    minutes: float
    open_layers: tuple[str, ...]
    concluded: tuple[str, ...]
    ranking: tuple[Belief, ...]
    is_well: bool
    thumbs: tuple[ThumbTold, ...]
    open_questions: tuple[str, ...]
    left_out: tuple[str, ...]
    trouble: str
    begun_with: str
    book_digest: str
    version: str

    @property
    def has_additions(self) -> bool:
        """Whether anything that is told comes from the user's own additions."""
        steps = self.steps
        beliefs = (*self.ranking, *(b for step in steps for b in (*step.before, *step.after)))
        thumbs = (*self.thumbs, *(thumb for step in steps for thumb in step.thumbs))
        return any(
            any(part.is_addition for part in parts)
            for parts in (beliefs, thumbs, self.remedies, steps)
        )

    @property
    def books(self) -> str:
        """Which state of the knowledge tells the case, and which it was begun with."""
        if self.begun_with in ("", self.book_digest):
            return f"book {self.book_digest}"
        return f"book {self.book_digest} (taken in with book {self.begun_with})"

    @property
    def verdict(self) -> str:
        """Whether the deck is well, in a sentence."""
        return f"The final test {'stands passed' if self.is_well else 'is not passed yet'}."
