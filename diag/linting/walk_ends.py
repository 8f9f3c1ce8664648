"""Ways through a walk that end at a check which points at nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from diag.errors import ImpossibleEvidence
from diag.inference.evidence import gather
from diag.inference.network import Network, network
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
LIKELIER = 0.01
"""What such a cause has gained at least: less is no news of it."""
RAISED = 10.0
"""Factor over its prior from which a cause counts as pointed at, however rare: ten decibans.

All three are our choice."""


def walk_ends_nowhere(book: Book) -> Iterator[Found]:
    """B23: a way of a walk ends at a check of which no answer points at a cause.

    Asked for a deck of which only the symptom is known, with the answers of the way. A cause is
    pointed at if its chance is `LIKELY` or more and has grown by `LIKELIER`, or if it is `RAISED`
    times its prior or more. A last check that finds all well on some of its answers only is no
    dead end: there the planner goes on. A way that denies every sign of the symptom has nothing to
    point at, one whose answers contradict one another is B26, and one that no deck can go is B04;
    they are left out.
    """
    before = network(book, Deck(), History())
    for symptom in book.symptoms.values():
        if symptom.walk is not None and book.causes:
            yield from _ends(_Begun(book, symptom, before), book.walks[symptom.walk], (), {})


@dataclass(frozen=True, slots=True)
class _Begun:
    """A walk that a symptom begins, and the network of a deck of which nothing is known."""

    book: Book
    symptom: Symptom
    before: Network

    def after(self, given: tuple[Given, ...]) -> Network:
        """The network with the symptom and these answers."""
        history = History((self.symptom.id,), given)
        return self.before.with_pieces(gather(self.book, history, self.before.cuts).pieces)


def _ends(
    begun: _Begun, step: WalkStep, above: tuple[Given, ...], known: Mapping[str, bool]
) -> Iterator[Found]:
    """What ends at a step and below it; `known` are the signs that the answers above have told."""
    last: dict[str, Mapping[str, bool]] = {}
    for answer, said in begun.book.checks[step.check].evidence.items():
        if any(known.get(sign, is_present) != is_present for sign, is_present in said.items()):
            continue
        now = {**known, **said}
        if answer in step.then:
            way = (*above, Given(step.check, answer))
            yield from _ends(begun, step.then[Name(answer)], way, now)
        elif any(now.get(sign, True) for sign in begun.symptom.signs):
            last[answer] = said
    if last and not step.then and (told := _nowhere(begun.after(above), last)):
        way_says = ", ".join((*(f"{g.check} {g.answer}" for g in above), step.check))
        yield Found(step.origin, f"{begun.symptom.walk}: {way_says}: {told}")


def _nowhere(asked: Network, answers: Mapping[str, Mapping[str, bool]]) -> str:
    """What stands first although no answer points at anything; empty if one does."""
    try:
        after = what_if(asked, list(answers.values()))
    except ImpossibleEvidence:
        return ""
    prior = np.array([asked.start[cause] for cause in after.causes])
    now = after.posterior[after.probability > 0]
    points = ((now >= RAISED * prior) | ((now >= LIKELY) & (now >= prior + LIKELIER))) & (prior > 0)
    if not len(now) or points.any():
        return ""
    row, first = np.unravel_index(int(now.argmax()), now.shape)
    chance = chance_in_words(float(now[row, first]))
    return f"no answer points at anything ({after.causes[int(first)]} first, {chance})."
