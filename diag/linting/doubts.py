"""What is doubtful in a book although it can be used. One small pure function a finding."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diag.model.book import Book
from diag.model.check import Check
from diag.model.figures import Entry, Origin
from diag.model.remedy import Remedy
from diag.model.symptom import WalkStep


@dataclass(frozen=True, slots=True)
class Doubt:
    """One doubtful thing. `code` never changes its meaning."""

    code: str
    origin: Origin
    found: str

    def __str__(self) -> str:
        """`path:line: code found`."""
        return f"{self.origin}: {self.code} {self.found}"


def doubts(book: Book) -> tuple[Doubt, ...]:
    """All that is doubtful in a book, in order of file and line."""
    found = [doubt for finding in FINDINGS for doubt in finding(book)]
    return tuple(sorted(found, key=lambda d: (d.origin.path, d.origin.line, d.code)))


def _asked_again(step: WalkStep, above: tuple[str, ...]) -> Iterator[str]:
    if step.check in above:
        yield step.check
    for below in step.then.values():
        yield from _asked_again(below, (*above, step.check))


def _doubt(code: str, entry: Entry, found: str) -> Doubt:
    return Doubt(code, entry.origin, f"{entry.id}: {found}")


def cause_without_remedy(book: Book) -> Iterator[Doubt]:
    """B01: nothing is said to mend it."""
    for cause in book.causes.values():
        if not cause.mended_by:
            yield _doubt("B01", cause, "no remedy mends it.")


def cause_that_nothing_asks_for(book: Book) -> Iterator[Doubt]:
    """B02: no check asks for any sign that it shows."""
    asked = {sign for check in book.checks.values() for sign in check.signs}
    for cause in book.causes.values():
        if not asked & set(cause.shows):
            yield _doubt("B02", cause, "no check asks for any of its signs.")


def sign_that_nobody_asks_for(book: Book) -> Iterator[Doubt]:
    """B03: no check and no symptom speaks of it."""
    asked = {sign for check in book.checks.values() for sign in check.signs}
    asked |= {sign for symptom in book.symptoms.values() for sign in symptom.signs}
    for sign in book.signs.values():
        if sign.id not in asked:
            yield _doubt("B03", sign, "no check and no symptom asks for it.")


def sign_that_nothing_shows(book: Book) -> Iterator[Doubt]:
    """B04: no cause brings it about, so that it can't be evidence for anything."""
    for sign, causes in book.causes_of.items():
        if not causes:
            yield _doubt("B04", book.signs[sign], "no cause shows it.")


def check_that_says_nothing(book: Book) -> Iterator[Doubt]:
    """B05: no answer of it speaks of a sign; fine for a safety step, else useless."""
    steps = {s.check for walk in book.walks.values() for s in walk.every_step()}
    steps |= {*book.intake, *book.final_test}
    for check in book.checks.values():
        if not check.signs and check.id not in steps:
            yield _doubt("B05", check, "its answers speak of no sign, and no walk asks it.")


def remedy_that_mends_nothing(book: Book) -> Iterator[Doubt]:
    """B06: no cause names it."""
    for remedy, causes in book.mends.items():
        if not causes:
            yield _doubt("B06", book.remedies[remedy], "no cause is mended by it.")


def live_without_caution(book: Book) -> Iterator[Doubt]:
    """B07: powered work inside the deck with no caution before it."""
    entries: tuple[Check | Remedy, ...] = (*book.checks.values(), *book.remedies.values())
    for entry in entries:
        if entry.live and entry.at != book.outside and not entry.cautions:
            yield _doubt("B07", entry, "the deck is powered and no caution stands before it.")


def thumb_that_nothing_cites(book: Book) -> Iterator[Doubt]:
    """B08: no cause, check, remedy or rule cites it."""
    cited = {
        thumb
        for section in (book.causes, book.checks, book.remedies)
        for entry in section.values()
        for thumb in entry.cites
    }
    cited |= {c.cite for rule in book.rules.values() for c in rule.then if c.cite}
    for thumb in book.thumbs.values():
        if thumb.id not in cited:
            yield _doubt("B08", thumb, "nothing cites it.")


def symptom_without_walk(book: Book) -> Iterator[Doubt]:
    """B09: the planner alone leads from it."""
    for symptom in book.symptoms.values():
        if symptom.walk is None:
            yield _doubt("B09", symptom, "it has no walk.")


def walk_that_opens_first(book: Book) -> Iterator[Doubt]:
    """B10: a walk begins inside the deck, though looking from outside costs nothing."""
    for name, walk in book.walks.items():
        check = book.checks[walk.check]
        if check.at != book.outside:
            yield Doubt("B10", walk.origin, f"{name}: it begins at the layer {check.at}.")


def walk_that_asks_twice(book: Book) -> Iterator[Doubt]:
    """B11: the same check twice on one way."""
    for name, walk in book.walks.items():
        for check in sorted(set(_asked_again(walk, ()))):
            yield Doubt("B11", walk.origin, f"{name}: {check} comes twice on one way.")


def no_final_test(book: Book) -> Iterator[Doubt]:
    """B12: nothing proves a closed deck well."""
    if not book.final_test:
        origin = next((layer.origin for layer in book.layers.values()), Origin())
        yield Doubt("B12", origin, "the family has no final_test.")


def fact_that_nothing_tells(book: Book) -> Iterator[Doubt]:
    """B13: a rule asks for a fact that no rule derives and intake does not ask."""
    derived = {c.derive for rule in book.rules.values() for c in rule.then if c.derive}
    known = {*derived, *book.facts, *book.traits, "age"}
    for rule in book.rules.values():
        for condition in rule.when.every_condition():
            names = (condition.fact, condition.differs_from, condition.same_as)
            for fact in names:
                if fact is not None and fact not in known:
                    yield _doubt("B13", rule, f"nothing tells the fact '{fact}'.")


FINDINGS = (
    cause_without_remedy,
    cause_that_nothing_asks_for,
    sign_that_nobody_asks_for,
    sign_that_nothing_shows,
    check_that_says_nothing,
    remedy_that_mends_nothing,
    live_without_caution,
    thumb_that_nothing_cites,
    symptom_without_walk,
    walk_that_opens_first,
    walk_that_asks_twice,
    no_final_test,
    fact_that_nothing_tells,
)
