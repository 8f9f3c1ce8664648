"""A book as far as it has been read, and the sections that it is read from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any

from diag.model.advice import Caution, Thumb
from diag.model.cause import Cause, Sign
from diag.model.check import Check
from diag.model.figures import Origin
from diag.model.layer import Layer
from diag.model.mentions import LISTS
from diag.model.remedy import Remedy
from diag.model.rule import Rule
from diag.model.symptom import Symptom, WalkStep
from diag.model.trait import Fact, Trait
from diag.reading.build import Findings, Use
from diag.reading.shape import (
    ListOf,
    MapOf,
    Number,
    Part,
    PriorFigure,
    Record,
    Reference,
    Shape,
    Text,
)

SECTIONS: Mapping[str, Any] = {
    "traits": Trait,
    "facts": Fact,
    "layers": Layer,
    "signs": Sign,
    "causes": Cause,
    "checks": Check,
    "remedies": Remedy,
    "thumbs": Thumb,
    "cautions": Caution,
    "symptoms": Symptom,
    "walks": WalkStep,
    "rules": Rule,
}
"""The sections of a knowledge file; `rules` is a list, the others are mappings by id."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakesFrom:
    """A family that is taken over, and what of it is left out.

    `leaves_out` names folders and files of that family, by their path within its folder, and
    single entries as `section.id`.
    """

    family: str
    leaves_out: tuple[str, ...] = ()
    origin: Origin = field(default=Origin(), compare=False, repr=False)


HEAD: Mapping[str, Shape] = {
    "family": Text(),
    "says": Text(),
    "takes_from": ListOf(Record(TakesFrom)),
    "intake": ListOf(Reference("checks")),
    "final_test": ListOf(Reference("checks")),
}
"""The keys that only family.yaml has."""


def _figures(cls: Any) -> tuple[Part, ...]:
    return tuple(part for part in Record(cls).parts if _is_figure(part.shape))


def _is_figure(shape: Shape) -> bool:
    return isinstance(shape.item if isinstance(shape, MapOf) else shape, Number | PriorFigure)


FIGURE_PARTS: Mapping[str, tuple[Part, ...]] = {
    section: parts for section, cls in SECTIONS.items() if (parts := _figures(cls))
}
"""The keys of each section that hold a figure; a mapping holds one for each of its keys."""

FIGURES = tuple(
    dict.fromkeys(
        part.key
        for section, parts in FIGURE_PARTS.items()
        if section != "thumbs"  # a thumb names its source
        for part in parts
    )
)
"""The kinds of figures (`prior`, `shows` ...) whose basis a file may state once for all entries."""


@dataclass(slots=True)
class Draft:
    """A book as far as it has been read."""

    findings: Findings = field(default_factory=Findings)
    entries: dict[str, dict[str, Any]] = field(default_factory=lambda: {s: {} for s in SECTIONS})
    retired: dict[str, dict[str, str]] = field(default_factory=dict)
    origins: dict[tuple[str, str], Origin] = field(default_factory=dict)
    head: dict[str, Any] = field(default_factory=dict)
    digest: Any = field(default_factory=sha256)
    files: list[str] = field(default_factory=list)
    replaced: dict[tuple[str, str], Origin] = field(default_factory=dict)

    def lay_over(self, under: Draft) -> Draft:
        """This draft laid over another: its entries replace those of the same id."""
        laid = Draft(
            entries={s: self._section(s, under.entries[s]) for s in SECTIONS},
            origins=under.origins | self.origins,
            head={k: v for k, v in under.head.items() if k in LISTS} | self.head,
            digest=self.digest.copy(),
            files=[*under.files, *self.files],
            replaced=under.replaced | self.replaced,
        )
        for section in {**under.retired, **self.retired}:
            old = under.retired.get(section, {})
            kept = {name: new for name, new in old.items() if (section, name) not in self.origins}
            laid.retired[section] = kept | self.retired.get(section, {})
        laid.digest.update(under.digest.digest())
        laid.findings.problems = [*under.findings.problems, *self.findings.problems]
        laid.findings.uses = [*filter(self._leaves, under.findings.uses), *self.findings.uses]
        return laid

    def _section(self, section: str, under: Mapping[str, Any]) -> dict[str, Any]:
        own = self.entries[section]
        names = {name for kind, name in self.origins if kind == section} - set(own)
        return {name: entry for name, entry in under.items() if name not in names} | own

    def _leaves(self, use: Use) -> bool:
        """Whether an entry or list of the draft below stays, and with it what it names."""
        if any(use.owner):
            return use.owner not in self.origins
        return use.field in LISTS and use.field not in self.head
