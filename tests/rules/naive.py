"""The rules of a book evaluated by plain search, to compare the rule engine with.

Facts go in as a mapping (kind, id) -> value; conditions are looked up one by one, so nothing here
knows of patterns, alternatives or messages.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from diag.model.book import Book
from diag.model.rule import Condition, Group

Known = Mapping[tuple[str, str], str | float]


@dataclass
class Found:
    """What follows, without reasons."""

    derived: set[str] = field(default_factory=set)
    cautions: set[str] = field(default_factory=set)
    thumbs: set[str] = field(default_factory=set)
    conflicts: set[str] = field(default_factory=set)
    raised: dict[str, float] = field(default_factory=dict)


def holds(part: Group | Condition, known: Known, book: Book) -> bool:
    """Whether a condition or a group of them is satisfied."""
    if isinstance(part, Group):
        return (
            all(holds(each, known, book) for each in part.all)
            if part.all
            else any(holds(each, known, book) for each in part.any)
        )
    if part.subject not in known:
        return False
    value = known[part.subject]
    for other, wanted in ((part.differs_from, False), (part.same_as, True)):
        if other is not None:
            subject = ("trait" if other in book.traits else "fact", other)
            if subject not in known or (known[subject] == value) is not wanted:
                return False
    number = value if isinstance(value, float) else None
    return (
        (part.equals is None or value == part.equals)
        and (part.differs is None or value != part.differs)
        and (not part.one_of or value in part.one_of)
        and (part.above is None or (number is not None and number > part.above))
        and (part.below is None or (number is not None and number < part.below))
    )


def search(book: Book, told: Known) -> Found:
    """Apply every rule again and again until nothing new is derived."""
    known, found, before = dict(told), Found(), -1
    while len(known) > before:
        before = len(known)
        for rule in book.rules.values():
            for each in rule.then if holds(rule.when, known, book) else ():
                if each.derive is not None and ("fact", each.derive) not in told:
                    found.derived.add(each.derive)
                    known["fact", each.derive] = "yes"
                found.cautions.update({each.caution} - {None})
                found.thumbs.update({each.cite} - {None})
                found.conflicts.update({each.conflict} - {None})
    for cause in book.causes.values():
        for key, factor in cause.raised_by.items():
            if "yes" in (known.get(("fact", key)), known.get(("trait", key))):
                found.raised[cause.id] = found.raised.get(cause.id, 1.0) * factor
    return found
