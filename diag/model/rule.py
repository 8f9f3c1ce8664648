"""Rules over the facts of a case: what must hold, and what follows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields

from diag.model.figures import (
    CautionId,
    CheckId,
    Entry,
    FactId,
    LayerId,
    SignId,
    SymptomId,
    ThumbId,
    TraitId,
    key,
)

SUBJECTS = ("trait", "fact", "sign", "symptom", "check", "layer")


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """One test of one fact.

    Exactly one subject. Its value is: a trait's value, a fact's number or word, `present` or
    `absent` for a sign, `told` for a symptom, the answer's id for a check, `open` for a layer.
    With no comparison the subject has only to be known. Comparisons given together must all hold
    of the one value (so a band is `above` and `below` in one condition). `differs_from` and
    `same_as` name another fact or trait that must be known, too.
    """

    trait: TraitId | None = None
    fact: FactId | None = None
    sign: SignId | None = None
    symptom: SymptomId | None = None
    check: CheckId | None = None
    layer: LayerId | None = None
    equals: str | float | None = key("is", default=None)
    differs: str | float | None = key("is_not", default=None)
    one_of: tuple[str | float, ...] = ()
    above: float | None = None
    below: float | None = None
    differs_from: FactId | None = None
    same_as: FactId | None = None

    def __post_init__(self) -> None:
        """Refuse a condition on nothing or on two things; a trait's value is always a word."""
        named = [name for name in SUBJECTS if getattr(self, name) is not None]
        if len(named) != 1:
            found = " and ".join(named) or "none of them"
            raise ValueError(f"a condition names one of {', '.join(SUBJECTS)}; found {found}")
        if self.trait is not None:
            object.__setattr__(self, "equals", _word(self.equals))
            object.__setattr__(self, "differs", _word(self.differs))
            object.__setattr__(self, "one_of", tuple(map(_word, self.one_of)))

    @property
    def subject(self) -> tuple[str, str]:
        """(`trait`, its id) and so on."""
        return next((n, getattr(self, n)) for n in SUBJECTS if getattr(self, n) is not None)


def _word(value: str | float | None) -> str | None:
    """A trait's value as the word that it is: `motors: 2` is the word 2."""
    return f"{value:g}" if isinstance(value, int | float) else value


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """All of these, or any of these; groups may stand inside groups."""

    all: tuple[Group | Condition, ...] = ()
    any: tuple[Group | Condition, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a group of both kinds or of neither."""
        if bool(self.all) == bool(self.any):
            raise ValueError("a group has either `all` or `any`, with at least one condition")

    def every_condition(self) -> Iterator[Condition]:
        """All conditions below this group."""
        for part in self.all or self.any:
            if isinstance(part, Condition):
                yield part
            else:
                yield from part.every_condition()


@dataclass(frozen=True, slots=True, kw_only=True)
class Conclusion:
    """What follows from a rule: a derived fact, a thumb, a caution, or two answers in conflict."""

    derive: FactId | None = None
    cite: ThumbId | None = None
    caution: CautionId | None = None
    conflict: str | None = None

    def __post_init__(self) -> None:
        """Refuse a conclusion of nothing or of two things."""
        if sum(getattr(self, field.name) is not None for field in fields(self)) != 1:
            raise ValueError("a conclusion has one of derive, cite, caution, conflict")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule(Entry):
    """When all that is asked holds, every conclusion follows."""

    when: Group
    then: tuple[Conclusion, ...]
    says: str = ""
