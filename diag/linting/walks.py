"""Doubts about symptoms, their walks, and the final test."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diag.linting.doubt import Found, found_at, listed
from diag.model.book import Book
from diag.model.figures import Name, Origin
from diag.model.symptom import WalkStep


def symptom_without_walk(book: Book) -> Iterator[Found]:
    """B09: the planner alone leads from it."""
    for symptom in book.symptoms.values():
        if symptom.walk is None:
            yield found_at(symptom, "it has no walk.")


def opens_first(book: Book) -> Iterator[Found]:
    """B10: a walk begins inside the deck, though looking from outside costs nothing."""
    for name, walk in book.walks.items():
        check = book.checks[walk.check]
        if check.at != book.outside:
            yield Found(walk.origin, f"{name}: it begins at the layer {check.at}.")


def asks_twice(book: Book) -> Iterator[Found]:
    """B11: the same check twice on one way."""
    for name, walk in book.walks.items():
        for check in sorted(set(_asked_again(walk, ()))):
            yield Found(walk.origin, f"{name}: {check} comes twice on one way.")


def step_without_why(book: Book) -> Iterator[Found]:
    """B22: a step of a walk does not say why it comes now."""
    for name, walk in book.walks.items():
        for step in walk.every_step():
            if not step.why:
                yield Found(step.origin, f"{name}: {step.check} comes without a why.")


def contradicts(book: Book) -> Iterator[Found]:
    """B26: a walk goes on from an answer that denies what one above it has said of a sign.

    Given both, neither counts for that sign, so that the way leads to less than before. Such an
    answer from which the walk does not go on is a change of mind that nobody counts on.
    """
    found = {
        told: None
        for name, walk in book.walks.items()
        for told in _contradictions(book, name, walk, {})
    }
    yield from found  # a part that stands under several answers is told once


def no_final_test(book: Book) -> Iterator[Found]:
    """B12: nothing proves a closed deck well."""
    if not book.final_test:
        origin = next((layer.origin for layer in book.layers.values()), Origin())
        yield Found(origin, "the family has no final_test.")


def _contradictions(
    book: Book, name: str, step: WalkStep, known: Mapping[str, bool]
) -> Iterator[Found]:
    """What contradicts at a step and below it; `known` are the signs that its way has told."""
    for answer, said in book.checks[step.check].evidence.items():
        denied = [sign for sign, is_present in said.items() if known.get(sign) is (not is_present)]
        if denied and answer in step.then:
            words = f"{step.check} {answer} contradicts what was said above of {listed(denied)}."
            yield Found(step.origin, f"{name}: {words}")
        elif not denied and answer in step.then:
            yield from _contradictions(book, name, step.then[Name(answer)], {**known, **said})


def _asked_again(step: WalkStep, above: tuple[str, ...]) -> Iterator[str]:
    if step.check in above:
        yield step.check
    for below in step.then.values():
        yield from _asked_again(below, (*above, step.check))
