"""The decks on the bench: all cases of a store, and the books that serve them."""

from __future__ import annotations

import gc
from collections.abc import Callable, Collection, Mapping, Sequence
from datetime import datetime
from functools import cached_property
from pathlib import Path
from threading import Lock

from diag.cases.case_file import read_case_file
from diag.cases.events import SymptomTold, TakenIn
from diag.cases.fold import fold
from diag.cases.part_kept import PartState
from diag.cases.rows import CaseSummary
from diag.cases.store import CaseStore, Imported
from diag.cases.text import visible
from diag.errors import (
    AdditionsError,
    BenchtrailError,
    CaseError,
    KnowledgeError,
    Problem,
    RuleError,
    UnknownId,
)
from diag.model.book import Book
from diag.model.figures import Origin
from diag.model.nearest import nearest
from diag.model.specification import Specification
from diag.model.test_tape import TestTape
from diag.model.trait import Deck, Fact, check_deck
from diag.planning.tree.compile import compile_tree
from diag.planning.tree.values import Tree
from diag.reading.book import read_book, read_usable_book
from diag.reading.heads import read_heads
from diag.reading.location import families, strays
from diag.reading.specification import (
    FALLBACK,
    find_specification,
    known_specifications,
    read_specification,
)
from diag.reading.test_tape import known_tapes, read_tape
from diag.rules.rulebook import Rulebook
from diag.session.book_pages import BookPages
from diag.session.case_log import now_utc
from diag.session.parts import TO_ORDER, DeckPart, PartLine, parts_of
from diag.session.session import Session


class Shelf:
    """Opens, begins, imports and exports cases. Books are read when first needed, then kept.

    Args:
        store: the file that holds the cases; made when it is not there.
        knowledge: the folder of books.
        additions: the user's own folder that is laid over it; left out where it can't be used.
        cache: a folder of this user's own in which books are kept as they were read.
        clock: gives the time of events, in UTC.
    """

    def __init__(
        self,
        store: Path,
        knowledge: Path,
        additions: Path | None = None,
        *,
        cache: Path | None = None,
        clock: Callable[[], datetime] = now_utc,
    ) -> None:
        self.cases = CaseStore(store)
        self.knowledge = knowledge
        self.additions = additions
        self._cache = cache
        self._clock = clock
        self._lock = Lock()
        self._books: dict[str, tuple[Book, Rulebook]] = {}
        self._left_out: dict[str, tuple[Problem, ...]] = {}

    def families(self) -> tuple[str, ...]:
        """The families that there is a book for."""
        return families(self.knowledge, self.additions)

    def kinds(self) -> Mapping[str, str]:
        """Each family with its kind of machine in words; no book is read for it."""
        heads = read_heads(self.knowledge, self.additions)
        return {head.family: head.says for head in heads}

    def additions_error(self) -> AdditionsError | None:
        """What is wrong with the additions, if anything is; reads the books that they concern."""
        if self.additions is None:
            return None
        problems = list(strays(self.knowledge, self.additions))
        for family in self.families():
            if (self.additions / family).is_dir():
                try:
                    self._read(family)
                except KnowledgeError as error:
                    problems += error.problems
        problems += [p for found in self._left_out.values() for p in found]
        return AdditionsError(tuple(dict.fromkeys(problems))) if problems else None

    def book(self, family: str) -> Book:
        """The book of a family.

        Raises:
            KnowledgeError: it can't be used.
            BenchtrailError: there is none.
        """
        return self._read(family)[0]

    def pages(self, family: str) -> BookPages:
        """The book of a family, to browse."""
        return BookPages(self.book(family))

    def decks(self) -> tuple[CaseSummary, ...]:
        """Every case, the one touched last first."""
        return self.cases.cases()

    def complaints(self, case: str) -> tuple[str, ...]:
        """What the owner of a deck complained of, in the words of its book."""
        state = fold(self.cases.events(case))
        known = self._read(state.family)[0].symptoms
        return tuple(known[s].says if s in known else s for s in state.history.symptoms)

    def parts(self, states: Collection[PartState] = TO_ORDER) -> tuple[DeckPart, ...]:
        """The parts of all decks that stand so: without more, those to be ordered or fitted.

        Raises:
            KnowledgeError: the book of a deck can't be used.
        """
        return tuple(
            DeckPart(deck.id, deck.name, line)
            for deck in self.decks()
            for line in self._parts(deck.id)
            if line.state in states
        )

    def _parts(self, case: str) -> tuple[PartLine, ...]:
        state = fold(self.cases.events(case))
        return parts_of(self._read(state.family)[0], state)

    def take_in(
        self, name: str, family: str, deck: Deck, symptoms: Sequence[str], story: str = ""
    ) -> Session:
        """Begin a case.

        Raises:
            CaseError: a number told of the deck can't be.
            UnknownId: the book has no such symptom.
        """
        book, _ = self._read(family)
        check_deck(deck, book.facts)
        for symptom in symptoms:
            if symptom not in book.symptoms:
                do = nearest(symptom, book.symptoms)
                raise UnknownId(f"the book has no symptom '{symptom}'.", do=do)
        at = self._clock()
        intake = TakenIn(
            at=at, name=name, family=family, deck=deck, story=story, book_digest=book.digest
        )
        case = self.cases.create(intake)
        for number, symptom in enumerate(symptoms, start=1):
            self.cases.append(case, SymptomTold(at=at, symptom=symptom), after=number)
        return self.reopen(case)

    def reopen(self, case: str) -> Session:
        """Go on with a case."""
        intake = next(e for e in reversed(self.cases.events(case)) if isinstance(e, TakenIn))
        book, rulebook = self._read(intake.family)
        return Session(
            self.cases,
            case,
            book,
            rulebook=rulebook,
            clock=self._clock,
            fallback=self._fallback,
        )

    def import_file(self, path: Path) -> Imported:
        """Take in a case file; the family must have a book here before it can be opened.

        Raises:
            CaseError: it is no case, or a number told of its deck can't be.
        """
        state = fold(read_case_file(path).events)
        try:
            check_deck(state.deck, self._facts(state.family))
        except CaseError as error:
            do = "Correct the deck where the case was written, and write its file anew."
            found = f"{error.where}: {error.found}"
            raise CaseError(found, where=visible(str(path)), do=do) from error
        return self.cases.import_file(path)

    def _facts(self, family: str) -> Mapping[str, Fact]:
        """The facts that a book asks for; none where it can't be used."""
        try:
            return self.book(family).facts
        except BenchtrailError:
            return {}

    def export_file(self, case: str, path: Path) -> None:
        """Write a case file."""
        self.cases.export_file(case, path)

    def compile_tree(
        self, family: str, deck: Deck, symptom: str, settled: Callable[[float], None]
    ) -> Tree:
        """Work out what to do about a complaint of such a deck; as `diag.planning.tree` does."""
        book, rulebook = self._read(family)
        return compile_tree(rulebook, book, deck, symptom, settled=settled)

    def specifications(self) -> tuple[Specification, ...]:
        """What decks can be held against, the shipped ones first.

        Raises:
            SpecificationError: one of them can't be used.
        """
        known = known_specifications(self.knowledge, self.additions)
        return tuple(read_specification(path, self.knowledge) for path in known.values())

    def test_tapes(self) -> tuple[TestTape, ...]:
        """The test tapes for the response that are described, the shipped ones first.

        Raises:
            KnowledgeError: a description can't be used.
        """
        known = known_tapes(self.knowledge, self.additions)
        return tuple(read_tape(path) for path in known.values())

    @cached_property
    def _fallback(self) -> Specification | None:
        """What a deck is held against until somebody says otherwise; None if there is none."""
        try:
            return find_specification(self.knowledge, FALLBACK, self.additions)
        except BenchtrailError:
            return None

    def _read(self, family: str) -> tuple[Book, Rulebook]:
        with self._lock:
            if family not in self._books:
                place = (self.knowledge, family, self.additions, self._cache)
                book, left_out = read_usable_book(*place)
                try:
                    rulebook = Rulebook(book)
                except RuleError as error:
                    path, _, line = error.where.rpartition(":")
                    if not Origin(path).is_addition:
                        raise
                    left_out = (Problem(path, int(line), error.found, error.do),)
                    book = read_book(self.knowledge, family, cache=self._cache)
                    rulebook = Rulebook(book)
                self._left_out[family] = left_out
                self._books[family] = (book, rulebook)
                # A book stays as long as the process. To go through its values at each collection
                # of garbage took a third of the slowest answers.
                gc.collect()
                gc.freeze()
            return self._books[family]
