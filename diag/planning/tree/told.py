"""A compiled tree in words, so that renderers and screens only lay it out."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from diag.model.book import Book
from diag.model.deciding import TYPICAL_AGE_YEARS
from diag.model.words import (
    answer_says,
    caution_says,
    chance_in_words,
    layer_says,
    step_says,
)
from diag.planning.next_step import NextStep
from diag.planning.tree.values import Branch, Leaf, Node, Tree

HOW_TO_READ = (
    "For a deck that has been taken in and made safe. Start at the top and follow the answer that "
    "you get. A percentage after an answer is its share of the decks that come to that question; "
    "before a cause it is the chance of the cause, and several can be there at once. Minutes are "
    "those of a competent hand with the parts there; closing is counted where a layer is opened. "
    "Words after DANGER and CARE name the cautions to read first. If you can't tell, go on at the "
    "bench: a sheet can't weigh all that you have seen."
)
_NOTES = {"faint": "Few decks come this way.", "nothing": "Nothing left is worth its minutes."}
_SEVERITIES = ("danger", "care")


@dataclass(frozen=True, slots=True)
class Told:
    """A step or an end in words.

    `answer` is what led to it and `chance` its share; both are empty at the root, and the share
    after a repair. `hazards` have DANGER or CARE and the short names of cautions; they stand
    before `does`. `causes` are chance and name of the ranked ones, at an end; `note` is why it
    is one.
    """

    answer: str
    chance: str
    hazards: tuple[tuple[str, tuple[str, ...]], ...]
    does: str
    cost: str
    why: str
    spent: str
    is_end: bool
    causes: tuple[tuple[str, str], ...] = ()
    note: str = ""
    rare: str = ""
    below: tuple[Told, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """Everything that stands on the wall.

    `cautions` have DANGER or CARE, their short name, and what to do; `layers` short name and what
    is open then.
    """

    title: str
    about: str
    cautions: tuple[tuple[str, str, str], ...]
    layers: tuple[tuple[str, str], ...]
    root: Told
    foot: str


def sheet_of(tree: Tree) -> Sheet:
    """The whole sheet of a tree."""
    book = tree.book
    steps: list[Node | Leaf] = [*tree.nodes, *tree.leaves]
    named = {caution: None for at in steps for caution in at.cautions}
    opened = {layer: None for at in steps if at.step for layer in at.step.access.opens}
    return Sheet(
        title=book.symptoms[tree.symptom].says,
        about=_about(tree),
        cautions=tuple(
            (severity.upper(), _short(name), caution_says(book.cautions[name]))
            for severity in _SEVERITIES
            for name in named
            if book.cautions[name].severity == severity
        ),
        layers=tuple((_short(layer), layer_says(book, layer)) for layer in opened),
        root=_told(book, tree.root, "", ""),
        foot=f"Steps: {len(tree.nodes)}, ends: {len(tree.leaves)}, depth: {tree.depth} at most. "
        f"Book {book.digest}.",
    )


def _about(tree: Tree) -> str:
    age = tree.deck.age_years
    known = [f"taken as {TYPICAL_AGE_YEARS:g} years old" if age is None else f"{age:g} years old"]
    known += [f"{_short(name)}: {value}" for name, value in tree.deck.traits.items()]
    return f"{tree.book.says}; {', '.join(known)}."


def _told(book: Book, at: Node | Leaf, answer: str, chance: str) -> Told:
    step = at.step
    at_test = isinstance(at, Leaf) and at.ends == "test"
    return Told(
        answer=answer,
        chance=chance,
        hazards=_hazards(book, at.cautions),
        does=_does(book, at),
        cost="" if step is None or at_test else _cost(step),
        why=step.why if step else "",
        spent=f"{at.minutes:g} min so far",
        is_end=isinstance(at, Leaf),
        causes=_causes(book, at) if isinstance(at, Leaf) else (),
        note=_NOTES.get(at.ends, "") if isinstance(at, Leaf) else "",
        rare=_rare(book, at) if isinstance(at, Node) else "",
        below=_below(book, at) if isinstance(at, Node) else (),
    )


def _does(book: Book, at: Node | Leaf) -> str:
    """What is done now, or next where the path ends."""
    if at.step is None:
        return ""
    next_up = isinstance(at, Leaf) and at.ends != "mend"
    if isinstance(at, Leaf) and at.ends == "test":
        return "Next: the final test."
    says = step_says(book, at.step.kind, at.step.id)
    if at.step.kind == "remedy":
        return f"{'Next, mend' if next_up else 'Mend'}: {says}"
    return f"Next: {says}" if next_up else says


def _cost(step: NextStep) -> str:
    """`2 min`, or `2 min, and 9 min to open and close: lid`."""
    own = f"{step.minutes:g} min"
    if not step.access.opens:
        return own
    names = ", ".join(_short(layer) for layer in step.access.opens)
    return f"{own}, and {step.access.minutes:g} min to open and close: {names}"


def _causes(book: Book, leaf: Leaf) -> tuple[tuple[str, str], ...]:
    return tuple((chance_in_words(c.probability), book.causes[c.id].says) for c in leaf.ranking)


def _below(book: Book, node: Node) -> tuple[Told, ...]:
    return tuple(_branch(book, node.step, branch) for branch in node.branches)


def _branch(book: Book, step: NextStep, branch: Branch) -> Told:
    if not branch.answer:
        return _told(book, branch.to, "Once that is done", "")
    says = answer_says(book.checks[step.id], branch.answer)
    return _told(book, branch.to, says, chance_in_words(branch.chance))


def _rare(book: Book, node: Node) -> str:
    """The answers that hardly come, in one sentence."""
    told = "; ".join(answer_says(book.checks[node.step.id], rare.id) for rare in node.rare)
    return f"Rare here, and not followed: {told}." if told else ""


def _hazards(book: Book, cautions: Collection[str]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    told = []
    for severity in _SEVERITIES:
        here = [name for name in cautions if book.cautions[name].severity == severity]
        if here:
            told.append((severity.upper(), tuple(map(_short, here))))
    return tuple(told)


def _short(name: str) -> str:
    return name.replace("_", " ")
