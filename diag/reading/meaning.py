"""What makes a book unusable although every id exists."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise, product
from typing import Any

from diag.errors import Problem
from diag.model.check import Check
from diag.model.nearest import nearest
from diag.model.rule import Condition
from diag.model.symptom import WalkStep
from diag.reading.draft import Draft

MAX_SIGNS = 12
"""Signs that one check may speak of: all their combinations are gone through."""


def meaning_problems(draft: Draft) -> list[Problem]:
    """Every problem of layers, answers, walks, trait values and rules."""
    entries = draft.entries
    return [
        *_layers(entries["layers"]),
        *(p for check in entries["checks"].values() for p in _answers(check)),
        *(
            p
            for walk in entries["walks"].values()
            for step in walk.every_step()
            for p in _step(step, entries["checks"])
        ),
        *(p for trait in entries["traits"].values() for p in _shares_of_trait(trait)),
        *_trait_values(entries),
        *(
            p
            for rule in entries["rules"].values()
            for condition in rule.when.every_condition()
            for p in _condition(rule, condition, entries)
        ),
    ]


def _at(entry: Any, found: str, do: str = "") -> Problem:
    return Problem(entry.origin.path, entry.origin.line, found, do)


def _layers(layers: Mapping[str, Any]) -> Iterator[Problem]:
    roots = [layer for layer in layers.values() if layer.under is None]
    if not layers:
        yield Problem("family.yaml", 1, "there are no layers.", "Give at least `outside: {}`.")
    elif not roots:
        yield _at(
            next(iter(layers.values())), "no layer is the closed deck.", "One has no `under`."
        )
    for extra in roots[1:]:
        found = f"'{extra.id}' has no `under`, and neither has '{roots[0].id}'."
        yield _at(extra, found, "Only the closed deck has none.")
    for layer in layers.values():
        way = [layer.id]
        while (above := layers[way[-1]].under) is not None:
            if above in way:
                yield _at(layer, f"the layers go round: {' -> '.join([*way, above])}.", "Mend one.")
                break
            way.append(above)


def _answers(check: Check) -> Iterator[Problem]:
    if len(check.answers) < 2:
        yield _at(check, f"{check.id}: a check needs two answers or more.")
    if check.measures is None and any(
        a.below is not None or a.above is not None for a in check.answers.values()
    ):
        yield _at(check, f"{check.id}: a band, but no `measures`.", "Say what is measured.")
    if len(check.signs) > MAX_SIGNS:
        found = f"{check.id}: it speaks of {len(check.signs)} signs; {MAX_SIGNS} are allowed."
        yield _at(check, found, "Split it into two checks.")
        return
    for answer in check.answers.values():
        if both := set(answer.present) & set(answer.absent):
            yield _at(answer, f"{check.id}.{answer.id}: {min(both)} is both present and absent.")
    yield from _shares(check)
    if check.measures is not None:
        yield from _bands(check)


def _shares(check: Check) -> Iterator[Problem]:
    """The answers must share out all combinations of the signs, each to one answer."""
    if not check.signs:
        return  # it asks for something that is no evidence
    gaps: list[str] = []
    overlaps: dict[tuple[str, ...], str] = {}
    for values in product((True, False), repeat=len(check.signs)):
        state = dict(zip(check.signs, values, strict=True))
        takers = tuple(
            name
            for name, said in check.evidence.items()
            if all(state[sign] is value for sign, value in said.items())
        )
        words = ", ".join(f"{s} {'present' if v else 'absent'}" for s, v in state.items())
        if not takers:
            gaps.append(words)
        elif len(takers) > 1:
            overlaps.setdefault(takers, words)
    for words in gaps[:3]:
        found = f"{check.id}: no answer fits when {words}."
        yield _at(check, found, "Add an answer, or take a sign out of one above.")
    if len(gaps) > 3:
        yield _at(check, f"{check.id}: and {len(gaps) - 3} more combinations fit no answer.")
    for takers, words in overlaps.items():
        found = f"{check.id}: the answers {' and '.join(takers)} both fit when {words}."
        yield _at(check, found, "Let one of them say a sign absent, or put it below the other.")


def _bands(check: Check) -> Iterator[Problem]:
    """Every value must have an answer: look at each edge and to both sides of it."""
    edges = sorted({e for a in check.answers.values() for e in (a.below, a.above) if e is not None})
    between = [(a + b) / 2 for a, b in pairwise(edges)]
    probes = [edges[0] - 1, *edges, *between, edges[-1] + 1] if edges else [0.0]
    for value in sorted(probes):
        if check.answer_for(value) is None:
            unit = check.measures.unit if check.measures else ""
            found = f"{check.id}: no answer fits a measured {value:g} {unit}".rstrip() + "."
            yield _at(check, found, "Let the last answer have no band.")
            return


def _step(step: WalkStep, checks: Mapping[str, Check]) -> Iterator[Problem]:
    answers = checks[step.check].answers
    for answer in step.then:
        if answer not in answers:
            found = f"'{answer}' is no answer of {step.check}."
            yield _at(step, found, nearest(answer, answers))


def _shares_of_trait(trait: Any) -> Iterator[Problem]:
    """Shares are given for every value of a trait, or for none, and add up to one."""
    for value in set(trait.shares) - set(trait.one_of):
        yield _at(trait, f"shares: '{value}' is no value of it.", nearest(value, trait.one_of))
    if trait.shares and set(trait.shares) >= set(trait.one_of):
        total = sum(trait.shares.values())
        if abs(total - 1.0) > 0.005:
            yield _at(trait, f"its shares add up to {total:g}.", "Let them add up to 1.")
    elif trait.shares:
        missing = ", ".join(v for v in trait.one_of if v not in trait.shares)
        yield _at(trait, f"its shares leave out {missing}.", "Give one for every value.")


def _trait_values(entries: Mapping[str, Mapping[str, Any]]) -> Iterator[Problem]:
    for section in ("causes", "checks", "remedies"):
        for entry in entries[section].values():
            for trait, values in entry.where.items():
                known = entries["traits"][trait].one_of
                for value in set(values) - set(known):
                    found = f"{entry.id}: '{value}' is no value of the trait {trait}."
                    yield _at(entry, found, nearest(value, known))


def _condition(
    rule: Any, condition: Condition, entries: Mapping[str, Mapping[str, Any]]
) -> Iterator[Problem]:
    known: tuple[str, ...] = ()
    kind, name = condition.subject
    match kind:
        case "trait":
            known = entries["traits"][name].one_of
        case "check":
            known = tuple(entries["checks"][name].answers)
        case "sign":
            known = ("present", "absent")
        case _:
            return
    for value in (condition.equals, condition.differs, *condition.one_of):
        if value is not None and value not in known:
            found = f"{rule.id}: '{value}' is no value of the {kind} {name}."
            yield _at(rule, found, nearest(str(value), known))
