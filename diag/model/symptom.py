"""What the owner complains of, and the authored walk that begins there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from diag.model.figures import CheckId, Entry, Name, Origin, SignId, WalkId


@dataclass(frozen=True, slots=True, kw_only=True)
class Symptom(Entry):
    """The way into a case: a complaint, the signs it speaks of, and the walk it starts.

    `before_intake` marks a complaint that can't wait: its walk comes before the intake, which
    would power the deck.
    """

    says: str
    signs: tuple[SignId, ...]
    walk: WalkId | None = None
    before_intake: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkStep:
    """One step of an authored decision tree: a check, why it comes now, and where answers lead."""

    check: CheckId
    why: str = ""
    then: Mapping[Name, WalkStep] = field(default_factory=dict)
    origin: Origin = field(default=Origin(), compare=False, repr=False)

    def every_step(self) -> Iterator[WalkStep]:
        """This step and all below it, depth first."""
        yield self
        for step in self.then.values():
            yield from step.every_step()

    @property
    def levels(self) -> int:
        """How many checks the longest way through has."""
        return 1 + max((step.levels for step in self.then.values()), default=0)
