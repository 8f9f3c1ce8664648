"""A book: all that is known of one family of machines."""

from __future__ import annotations

from array import array
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from diag.model.advice import Caution, Source, Thumb
from diag.model.cause import Cause, Sign
from diag.model.check import Check
from diag.model.deciding import deciding_checks
from diag.model.figures import CheckId, Origin
from diag.model.layer import Layer
from diag.model.remedy import Remedy
from diag.model.rule import Rule
from diag.model.symptom import Symptom, WalkStep
from diag.model.trait import Fact, Trait


@dataclass(frozen=True, kw_only=True)
class Book:
    """One family's knowledge, each kind by id in the order of reading.

    `retired` maps a kind (`causes`) to old ids and what replaced them; `digest` changes with any
    change of any file. `replaced` has kind and id of every entry that the user's own additions
    replace or retire, and where it stands; that an entry is an addition says its origin.
    """

    family: str
    says: str
    digest: str = ""
    traits: Mapping[str, Trait] = field(default_factory=dict)
    facts: Mapping[str, Fact] = field(default_factory=dict)
    layers: Mapping[str, Layer] = field(default_factory=dict)
    signs: Mapping[str, Sign] = field(default_factory=dict)
    causes: Mapping[str, Cause] = field(default_factory=dict)
    checks: Mapping[str, Check] = field(default_factory=dict)
    remedies: Mapping[str, Remedy] = field(default_factory=dict)
    thumbs: Mapping[str, Thumb] = field(default_factory=dict)
    cautions: Mapping[str, Caution] = field(default_factory=dict)
    symptoms: Mapping[str, Symptom] = field(default_factory=dict)
    walks: Mapping[str, WalkStep] = field(default_factory=dict)
    rules: Mapping[str, Rule] = field(default_factory=dict)
    sources: Mapping[str, Source] = field(default_factory=dict)
    intake: tuple[CheckId, ...] = ()
    final_test: tuple[CheckId, ...] = ()
    retired: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    replaced: Mapping[tuple[str, str], Origin] = field(default_factory=dict)

    @cached_property
    def outside(self) -> str:
        """The layer of the closed deck."""
        return next(name for name, layer in self.layers.items() if layer.under is None)

    @cached_property
    def given_traits(self) -> Mapping[str, str]:
        """The traits of which every machine of the family has the one value that there is.

        Nobody asks for them. Every `where` holds for that value, or its entry would not be here.
        """
        return {t.id: t.one_of[0] for t in self.traits.values() if len(t.one_of) == 1}

    @cached_property
    def ways(self) -> Mapping[str, tuple[str, ...]]:
        """For each layer, the layers to open on the way to it: outermost first, itself last."""
        found: dict[str, tuple[str, ...]] = {}
        for name in self.layers:
            way: list[str] = []
            at: str | None = name
            while at is not None and self.layers[at].under is not None:
                way.append(at)
                at = self.layers[at].under
            found[name] = tuple(reversed(way))
        return found

    @cached_property
    def causes_of(self) -> Mapping[str, tuple[str, ...]]:
        """For each sign, the causes that can show it."""
        found: dict[str, list[str]] = {sign: [] for sign in self.signs}
        for cause in self.causes.values():
            for sign in cause.shows:
                found[sign].append(cause.id)
        return {sign: tuple(causes) for sign, causes in found.items()}

    @cached_property
    def links(self) -> tuple[array[int], array[int], array[float]]:
        """Every link in three columns: the number of its sign, that of its cause, its chance."""
        numbers = {sign: at for at, sign in enumerate(self.signs)}
        found = [
            (numbers[sign], number, float(chance))
            for number, cause in enumerate(self.causes.values())
            for sign, chance in cause.shows.items()
        ]
        signs, causes, chances = zip(*found, strict=True) if found else ((), (), ())
        return array("q", signs), array("q", causes), array("d", chances)

    @cached_property
    def hazards(self) -> tuple[str, ...]:
        """The signs with which a deck is not to be powered."""
        return tuple(sign.id for sign in self.signs.values() if sign.no_power)

    @cached_property
    def bars(self) -> Mapping[str, tuple[str, ...]]:
        """For each sign that bars any, the checks that can't be tried while it is there.

        A hazard bars every check at which the deck is powered, but those that tell of it.
        """
        found: dict[str, list[str]] = {}
        for check in self.checks.values():
            hazards = [h for h in self.hazards if h not in check.signs] if check.live else []
            for sign in dict.fromkeys((*check.not_while, *hazards)):
                found.setdefault(sign, []).append(check.id)
        return {sign: tuple(checks) for sign, checks in found.items()}

    @cached_property
    def deciding(self) -> Mapping[str, tuple[tuple[str, float], ...]]:
        """For each cause, the checks that decide on it, with the bits that each tells of it."""
        return deciding_checks(self)

    @cached_property
    def mends(self) -> Mapping[str, tuple[str, ...]]:
        """For each remedy, the causes that it mends."""
        found: dict[str, list[str]] = {remedy: [] for remedy in self.remedies}
        for cause in self.causes.values():
            for remedy in cause.mended_by:
                found[remedy].append(cause.id)
        return {remedy: tuple(causes) for remedy, causes in found.items()}
