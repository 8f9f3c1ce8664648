"""One case on the bench: everything that a screen or a command can do with it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import Any

from diag.cases.events import (
    Acknowledged,
    Answered,
    Certainty,
    Closed,
    Measured,
    Noted,
    Opened,
    Outcome,
    Remedied,
    SymptomTold,
    TakenIn,
)
from diag.cases.store import CaseStore
from diag.errors import CaseError, UnknownId
from diag.measure.result import Measurement
from diag.model.book import Book
from diag.model.history import Sure
from diag.model.nearest import nearest
from diag.model.specification import Specification
from diag.model.trait import Deck, check_deck
from diag.planning.access import closing_order
from diag.rules.rulebook import Rulebook
from diag.session.assessment import Assessment
from diag.session.beside import NOTHING_GIVEN, Given, beside
from diag.session.book_pages import BookPages
from diag.session.case_log import CaseLog, now_utc
from diag.session.detail import cause_detail
from diag.session.hearing import captured, heard_of
from diag.session.listening import (
    Heard,
    HeardAll,
    Watch,
    heard_all,
    listen,
    listen_to_all,
    named,
)
from diag.session.mind import ChangeOfMind, change_of_mind
from diag.session.snapshot import CauseDetail, Snapshot, StepView
from diag.session.step_view import step_view
from diag.session.telling import tell_trail
from diag.trail.judged import Judged, judged_by
from diag.trail.trail import Trail


class Session(CaseLog):
    """A case, its book and its store: all that can be done and asked, on top of its log."""

    def __init__(
        self,
        store: CaseStore,
        case: str,
        book: Book,
        *,
        rulebook: Rulebook | None = None,
        clock: Callable[[], datetime] = now_utc,
        fallback: Specification | None = None,
    ) -> None:
        super().__init__(store, case, book, rulebook=rulebook, clock=clock)
        self.last_folder: Path | None = None
        """Where the last recording came from."""
        self._fallback = fallback

    @cached_property
    def pages(self) -> BookPages:
        """The book of the case, to browse."""
        return BookPages(self.book)

    def amend(self, intake: TakenIn) -> Snapshot:
        """Say anew what the deck is."""
        return self._add(intake)

    def correct(self, name: str, deck: Deck, story: str, symptoms: Sequence[str]) -> Snapshot:
        """Bring what the deck is and what its owner told up to these; only changes are written.

        Raises:
            CaseError: a number told of the deck can't be; nothing is written then.
        """
        check_deck(deck, self.book.facts)
        state = self.snapshot.state
        if (name, deck, story) != (state.name, state.deck, state.story):
            self._add(
                TakenIn(
                    at=self._clock(),
                    name=name,
                    family=state.family,
                    deck=deck,
                    story=story,
                    book_digest=self.book.digest,
                )
            )
        for number, event in state.live:
            if isinstance(event, SymptomTold) and event.symptom not in symptoms:
                self.strike(number)
        for symptom in symptoms:
            if symptom not in state.history.symptoms:
                self.tell(symptom)
        return self.snapshot

    def tell(self, symptom: str) -> Snapshot:
        """The owner complains of this, too."""
        self._known("symptoms", symptom)
        return self._add(SymptomTold(at=self._clock(), symptom=symptom))

    def answer(self, check: str, answer: str, sure: Sure = "certain") -> Snapshot:
        """A check got an answer."""
        known = self._known("checks", check).answers
        if answer not in known:
            raise UnknownId(
                f"the check '{check}' has no answer '{answer}'.", do=nearest(answer, known)
            )
        return self._add(Answered(at=self._clock(), check=check, answer=answer, sure=sure))

    def put_aside(self, check: str, why: Certainty) -> Snapshot:
        """A check could not be answered (`cant_tell`) or was left for later (`skipped`)."""
        self._known("checks", check)
        return self._add(Answered(at=self._clock(), check=check, sure=why))

    def measure(self, check: str, value: float, sure: Sure = "certain") -> Snapshot:
        """A measuring check got its value, in the unit that it asks for."""
        entry = self._known("checks", check)
        answer = entry.answer_for(value)
        if entry.measures is None or answer is None:
            raise CaseError(
                f"{value} can't be taken as an answer of '{check}'.",
                do="Give a number in the unit that the check asks for.",
            )
        unit = entry.measures.unit
        event = Measured(
            at=self._clock(), check=check, value=value, unit=unit, answer=answer, sure=sure
        )
        return self._add(event)

    def hear(
        self,
        what: str,
        path: Path,
        *,
        asked: str = "",
        given: Given = NOTHING_GIVEN,
        watch: Watch | None = None,
    ) -> Heard:
        """Measure a recording, and say what it answers; nothing is written yet.

        Args:
            what: the kind of measurement.
            path: the sound file.
            asked: the check that it is made for; others that it tells are answered with it.
            given: what the person says besides; it counts before what the case knows.
            watch: looks on, and may stop it.

        Raises:
            MeasureError: the file can't be read, or not be measured so.
            Stopped: `watch` wanted that.
        """
        self.last_folder = path.absolute().parent
        with named(path):
            known = beside(self.book, self.snapshot.state, given)
            return self._heard(listen(what, path, watch or Watch(), known), path, asked)

    def hear_all(
        self,
        path: Path,
        *,
        given: Given = NOTHING_GIVEN,
        watch: Watch | None = None,
    ) -> HeardAll:
        """Make every measurement that a recording allows; nothing is written yet.

        What is given is as for `hear`.

        Raises:
            MeasureError: the file can't be read.
            Stopped: `watch` wanted that.
        """
        self.last_folder = path.absolute().parent
        with named(path):
            known = beside(self.book, self.snapshot.state, given)
            found = listen_to_all(path, watch or Watch(), known)
        return heard_all(found, lambda one: self._heard(one, path))

    def take_capture(self, heard: Heard, *, with_answers: bool = True) -> Snapshot:
        """Keep what a recording was found to hold, and let it answer its checks."""
        return self._add(captured(self._clock(), heard, with_answers=with_answers))

    def open(self, layer: str) -> Snapshot:
        """Open a layer, and all that lies above it."""
        self._known("layers", layer)
        for name in self.book.ways[layer]:
            if name not in self.snapshot.state.open_layers:
                self._add(Opened(at=self._clock(), layer=name))
        return self.snapshot

    def close(self, layer: str) -> Snapshot:
        """Close a layer, and all that lies under it."""
        self._known("layers", layer)
        for name in closing_order(self.book, self.snapshot.state.open_layers):
            if layer in (*self.book.ways[name], self.book.outside):
                self._add(Closed(at=self._clock(), layer=name))
        return self.snapshot

    def mend(self, remedy: str, outcome: Outcome = "done", note: str = "") -> Snapshot:
        """A remedy was carried out, or given up."""
        self._known("remedies", remedy)
        return self._add(Remedied(at=self._clock(), remedy=remedy, outcome=outcome, note=note))

    def acknowledge(self, caution: str, before: str) -> Snapshot:
        """A danger was read before a step."""
        return self._add(Acknowledged(at=self._clock(), caution=caution, before=before))

    def note(self, text: str) -> Snapshot:
        """Write something down."""
        return self._add(Noted(at=self._clock(), text=text))

    def step_view(self, kind: str, step: str) -> StepView:
        """The cautions before a check or a remedy, with those of its way and of what is open."""
        entry = self._known("checks" if kind == "check" else "remedies", step)
        return step_view(self.snapshot, entry)

    def cause(self, cause: str) -> CauseDetail:
        """Why a cause stands where it does."""
        found = self._with_cause(cause)
        return cause_detail(self.book, self.snapshot.state.deck, found, cause)

    def change_of_mind(self, cause: str) -> ChangeOfMind:
        """What would change the place of a cause; it may take a second."""
        found = self._with_cause(cause)
        return change_of_mind(found.situation, found.steps[0] if found.steps else None, cause)

    @property
    def judged(self) -> Judged | None:
        """The recordings against the specification; None without the one or the other."""
        return judged_by(self.snapshot.state, self._fallback)

    def tell_trail(self) -> Trail:
        """The whole story of the case, for a renderer."""
        with self._lock:
            return tell_trail(self._rulebook, self.events, self.snapshot, self.judged)

    def _with_cause(self, cause: str) -> Assessment:
        found = self.snapshot.assessment
        if found is None or cause not in found.posterior.causes:
            raise UnknownId(f"'{cause}' is no cause that this deck can have.")
        return found

    def _heard(self, found: Measurement, path: Path, asked: str = "") -> Heard:
        return heard_of(self.book, self.snapshot.state.deck, found, path, asked)

    def _known(self, section: str, name: str) -> Any:
        known = getattr(self.book, section)
        if name not in known:
            raise UnknownId(f"the book has no '{name}' in {section}.", do=nearest(name, known))
        return known[name]
