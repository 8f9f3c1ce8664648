"""A case written by hand as a short YAML file, for `benchtrail rank`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import isfinite
from pathlib import Path

from diag.errors import CaseError, Problem, RankFileError
from diag.model.book import Book
from diag.model.check import Check
from diag.model.history import Given, History, Mended, Opened, Step, Sure
from diag.model.nearest import nearest
from diag.model.trait import AGE, Deck, Fact
from diag.reading.yaml_nodes import Node, read_yaml

FIRST_BLOCK = ("opened", "answers", "measured", "mended")
LATER_BLOCK = ("opened", "mended", "answers", "measured")
"""What happened in a block, in order: at first one looks and then mends, later one mends and then
looks whether it helped. What a block opens is open for all else in it."""
TOP_KEYS = ("family", "deck", "symptoms", *FIRST_BLOCK, "then")
SURE: Mapping[str, Sure] = {"certain": "certain", "fairly": "fairly"}


@dataclass(frozen=True, slots=True)
class RankCase:
    """What such a file says."""

    deck: Deck
    history: History


def rank_file_family(path: Path) -> tuple[Node, str]:
    """The file's tree and the family that it names, so that the book can be read first.

    Raises:
        RankFileError: with the first problem of the file.
    """
    tree, problems = read_yaml(path, str(path))
    if problems:
        raise _error(problems)
    if tree is None or tree.kind != "map":
        raise RankFileError("this is no case.", where=str(path), do="Begin with `family: ...`.")
    for key, value in tree.pairs:
        if key.scalar == "family" and isinstance(value.scalar, str):
            return tree, value.scalar
    raise RankFileError("the key 'family' is missing.", where=str(path), do="Name the book.")


def rank_case(tree: Node, book: Book, path: Path) -> RankCase:
    """Read the file against its book.

    Raises:
        RankFileError: with every problem of the file.
    """
    reader = _Reader(book, str(path))
    case = reader.case(tree)
    if reader.problems:
        raise _error(tuple(reader.problems))
    return case


def _error(problems: tuple[Problem, ...]) -> RankFileError:
    first, rest = problems[0], problems[1:]
    more = "".join(f"\n{problem}" for problem in rest)
    return RankFileError(first.found, where=f"{first.path}:{first.line}", do=first.do + more)


class _Reader:
    def __init__(self, book: Book, path: str) -> None:
        self.book = book
        self.path = path
        self.problems: list[Problem] = []
        self.steps: list[Step] = []

    def problem(self, node: Node, found: str, do: str = "") -> None:
        self.problems.append(Problem(self.path, node.line, found, do))

    def case(self, tree: Node) -> RankCase:
        deck = Deck()
        symptoms: list[str] = []
        later: tuple[Node, ...] = ()
        for key, value in tree.pairs:
            match str(key.scalar):
                case "deck":
                    deck = self._deck(value)
                case "symptoms":
                    symptoms = [name for _, name in self._names(value, "symptoms")]
                case "then":
                    later = value.items
                case word if word not in TOP_KEYS:
                    self.problem(key, f"unknown key '{word}'.", nearest(word, TOP_KEYS))
        self._block(tree, FIRST_BLOCK)
        for block in later:
            for key, _ in block.pairs:
                if key.scalar not in LATER_BLOCK:
                    self.problem(key, f"unknown key {key.told}.", nearest(key.told, LATER_BLOCK))
            self._block(block, LATER_BLOCK)
        return RankCase(deck, History(tuple(dict.fromkeys(symptoms)), tuple(self.steps)))

    def _block(self, block: Node, order: tuple[str, ...]) -> None:
        parts = {str(key.scalar): value for key, value in block.pairs}
        for word in order:
            if word in parts:
                self._part(word, parts[word])

    def _part(self, word: str, value: Node) -> None:
        match word:
            case "answers":
                self.steps += self._answers(value)
            case "measured":
                self.steps += self._measured(value)
            case "opened":
                for _, layer in self._names(value, "layers"):
                    opened = {step.layer for step in self.steps if isinstance(step, Opened)}
                    # Nobody gets at a layer but through those above it.
                    way = [name for name in self.book.ways[layer] if name not in opened]
                    self.steps += [Opened(name, self._number()) for name in way or (layer,)]
            case "mended":
                for _, remedy in self._names(value, "remedies"):
                    self.steps.append(Mended(remedy, self._number()))

    def _number(self) -> int:
        return len(self.steps) + 1

    def _deck(self, node: Node) -> Deck:
        age: float | None = None
        traits: dict[str, str] = {}
        facts: dict[str, float | str] = {}
        known = self._fact_names()
        for key, value in node.pairs:
            word = str(key.scalar)
            if value.kind != "scalar" or value.scalar is None:
                self.problem(value, f"{word}: one word or number is wanted; found {value.told}.")
            elif word == "age":
                age = self._age(value)
            elif word in self.book.traits:
                traits |= self._trait(word, value)
            elif word in known:
                facts[word] = self._fact(value)
                self._bounded(value, self.book.facts.get(word), facts[word])
            else:
                names = ("age", *self.book.traits, *known)
                self.problem(key, f"'{word}' is no trait or fact.", nearest(word, names))
        return Deck(age_years=age, traits=traits, facts=facts)

    def _fact_names(self) -> tuple[str, ...]:
        """Facts that the book asks for, or that one of its rules looks at."""
        named = [
            name
            for rule in self.book.rules.values()
            for condition in rule.when.every_condition()
            for name in (condition.fact, condition.differs_from, condition.same_as)
            if name is not None
        ]
        return tuple(dict.fromkeys([*self.book.facts, *named]))

    def _age(self, value: Node) -> float | None:
        age = value.scalar
        if isinstance(age, int | float) and not isinstance(age, bool):
            self._bounded(value, AGE, age)
            return float(age)
        self.problem(value, f"age: years are wanted; found {value.told}.")
        return None

    def _trait(self, trait: str, value: Node) -> dict[str, str]:
        word, known = str(value.scalar), self.book.traits[trait].one_of
        if word == "unknown":
            return {}
        if word not in known:
            self.problem(value, f"{trait}: '{word}' is no value of it.", nearest(word, known))
            return {}
        return {trait: word}

    def _fact(self, value: Node) -> float | str:
        if isinstance(value.scalar, int | float) and not isinstance(value.scalar, bool):
            return float(value.scalar)
        return str(value.scalar)

    def _bounded(self, value: Node, fact: Fact | None, number: float | str) -> None:
        """Note a number that can't be."""
        try:
            if fact is not None:
                fact.check(number)
        except CaseError as error:
            self.problem(value, f"{fact.id if fact else ''}: {error.found}", error.do)

    def _names(self, node: Node, section: str) -> Iterator[tuple[Node, str]]:
        """The ids in a list (or one alone) that the book has in a section."""
        known = getattr(self.book, section)
        for item in node.items if node.kind == "list" else (node,):
            if item.scalar in known:
                yield item, str(item.scalar)
            elif item.scalar is not None or item.kind != "scalar":
                found = f"{item.told} is not in {section}."
                self.problem(item, found, nearest(str(item.scalar), known))

    def _checks(self, node: Node) -> Iterator[tuple[Check, Node]]:
        if node.kind != "map" and node.scalar is not None:
            self.problem(node, f"answers by check are wanted; found {node.told}.")
        for key, value in node.pairs:
            word = str(key.scalar)
            if word in self.book.checks:
                yield self.book.checks[word], value
            else:
                self.problem(key, f"'{word}' is not in checks.", nearest(word, self.book.checks))

    def _answers(self, node: Node) -> Iterator[Given]:
        for check, value in self._checks(node):
            answer, sure = self._sure(value)
            if answer == "cant_tell":
                continue
            if answer not in check.answers:
                found = f"'{answer}' is no answer of {check.id}."
                self.problem(value, found, nearest(answer, check.answers))
            elif sure not in SURE:
                self.problem(value, f"sure: '{sure}' is neither of {', '.join(SURE)}.")
            else:
                yield Given(check.id, answer, SURE[sure], self._number())

    def _sure(self, value: Node) -> tuple[str, str]:
        """The answer and how sure it is: a word, or {answer: word, sure: word}."""
        if value.kind != "map":
            return str(value.scalar), "certain"
        parts = {str(k.scalar): str(v.scalar) for k, v in value.pairs}
        for word in set(parts) - {"answer", "sure"}:
            self.problem(value, f"unknown key '{word}'.", nearest(word, ("answer", "sure")))
        return parts.get("answer", ""), parts.get("sure", "certain")

    def _measured(self, node: Node) -> Iterator[Given]:
        for check, value in self._checks(node):
            number = value.scalar
            if check.measures is None:
                self.problem(value, f"'{check.id}' measures nothing.", "Put it under `answers`.")
            elif (
                not isinstance(number, int | float)
                or isinstance(number, bool)
                or not isfinite(number)
                or (answer := check.answer_for(float(number))) is None
            ):
                self.problem(value, f"{check.id}: a number is wanted; found {value.told}.")
            else:
                yield Given(check.id, answer, "certain", self._number())
