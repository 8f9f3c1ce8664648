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
from diag.model.remedy import Remedy
from diag.model.rule import Rule
from diag.model.symptom import Symptom, WalkStep
from diag.model.trait import Fact, Trait
from diag.reading.build import Findings
from diag.reading.shape import ListOf, MapOf, Number, PriorFigure, Record, Reference, Shape, Text

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

HEAD: Mapping[str, Shape] = {
    "family": Text(),
    "says": Text(),
    "takes_from": ListOf(Text()),
    "intake": ListOf(Reference("checks")),
    "final_test": ListOf(Reference("checks")),
}
"""The keys that only family.yaml has."""


def _is_figure(shape: Shape) -> bool:
    return isinstance(shape.item if isinstance(shape, MapOf) else shape, Number | PriorFigure)


FIGURES = tuple(
    dict.fromkeys(
        part.key
        for cls in SECTIONS.values()
        if cls is not Thumb  # a thumb names its source
        for part in Record(cls).parts
        if _is_figure(part.shape)
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
