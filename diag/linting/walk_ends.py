"""Ways through a walk that end without pointing at anything."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diag.inference.network import network
from diag.inference.what_if import what_if
from diag.linting.doubt import Found
from diag.model.book import Book
from diag.model.figures import Name
from diag.model.history import Given, History
from diag.model.symptom import Symptom, WalkStep
from diag.model.trait import Deck
from diag.model.words import chance_in_words

LIKELY = 0.2
"""Chance from which a cause counts as pointed at."""
RAISED = 10.0
"""Factor over its prior from which a cause counts as pointed at, however rare: ten decibans.

Both are our choice."""


def walk_ends_nowhere(book: Book) -> Iterator[Found]:
    """B23: a way of a walk ends, and no cause is pointed at.

    Asked for a deck of which only the symptom is known, with the answers of the way. A cause is
    pointed at if it is likelier than before and its chance is `LIKELY` or more, or if its chance is
    `RAISED` times its prior or more. A way that denies every sign of the symptom has nothing to
    point at, and one whose answers contradict one another is B26; both are left out.
    """
    for symptom in book.symptoms.values():
        if symptom.walk is not None:
            yield from _ends(book, symptom, book.walks[symptom.walk], (), {})


def _ends(
    book: Book,
    symptom: Symptom,
    step: WalkStep,
    above: tuple[Given, ...],
    known: Mapping[str, bool],
) -> Iterator[Found]:
    """What ends at a step and below it; `known` are the signs that the answers above have told."""
    last: dict[str, Mapping[str, bool]] = {}
    for answer, said in book.checks[step.check].evidence.items():
        if any(known.get(sign, is_present) != is_present for sign, is_present in said.items()):
            continue
        now = {**known, **said}
        if answer in step.then:
            way = (*above, Given(step.check, answer))
            yield from _ends(book, symptom, step.then[Name(answer)], way, now)
        elif any(now.get(sign, True) for sign in symptom.signs):
            last[answer] = said
    for answer, told in _nowhere(book, History((symptom.id,), above), last).items():
        way_says = ", ".join(f"{g.check} {g.answer}" for g in (*above, Given(step.check, answer)))
        yield Found(step.origin, f"{symptom.walk}: {way_says}: {told}")


def _nowhere(
    book: Book, history: History, answers: Mapping[str, Mapping[str, bool]]
) -> Mapping[str, str]:
    """The answers after which nothing is pointed at, each with what stands first then."""
    if not answers or not book.causes:
        return {}
    asked = network(book, Deck(), history)
    after = what_if(asked, list(answers.values()))
    prior = [asked.start[cause] for cause in after.causes]
    found = {}
    for name, probability, chances in zip(answers, after.probability, after.posterior, strict=True):
        points = any(
            now >= RAISED * was or (now >= LIKELY and now > was)
            for now, was in zip(chances, prior, strict=True)
            if was > 0
        )
        if probability > 0 and not points:
            first = int(chances.argmax())
            chance = chance_in_words(float(chances[first]))
            found[name] = f"it ends, and points at nothing ({after.causes[first]} first, {chance})."
    return found
