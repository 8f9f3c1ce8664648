"""One case on the bench: everything that a screen or a command can do with it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from threading import RLock
from typing import Any

from diag.cases.events import (
    Acknowledged,
    Answered,
    Captured,
    Certainty,
    Closed,
    Event,
    Measured,
    Noted,
    Opened,
    Outcome,
    Remedied,
    Struck,
    SymptomTold,
    TakenIn,
)
from diag.cases.fold import CaseState, fold, live_events
from diag.cases.store import CaseStore
from diag.errors import CaseError, ImpossibleEvidence, InferenceError, UnknownId
from diag.measure.result import Measurement
from diag.model.advice import Caution
from diag.model.book import Book
from diag.model.history import History, Sure
from diag.model.nearest import nearest
from diag.model.specification import Specification
from diag.model.test_tape import TestTape
from diag.model.trait import Deck
from diag.planning.access import closing_order
from diag.planning.cautions import cautions_before, cautions_within_reach
from diag.rules.rulebook import Rulebook
from diag.session.assessment import Assessment, Standing, assess
from diag.session.book_pages import BookPages
from diag.session.current import bring_up_to_date
from diag.session.detail import cause_detail
from diag.session.listening import Heard, HeardAll, Watch, listen, listen_to_all, named
from diag.session.measured import (
    is_told,
    kept_curves,
    kept_figures,
    kept_likely,
    kept_name,
    measured_by,
    readings_of,
)
from diag.session.mind import ChangeOfMind, change_of_mind
from diag.session.minutes import minutes_spent
from diag.session.snapshot import CauseDetail, Snapshot, StepView
from diag.session.telling import tell_trail
from diag.trail.judged import Judged, judged_by
from diag.trail.trail import Trail


def now_utc() -> datetime:
    """The clock of a session, to the second."""
    return datetime.now(UTC).replace(microsecond=0)


class Session:
    """A case, its book and its store. Safe to call from several threads.

    Every call that changes the case writes its event to disk before it returns, and returns the
    new snapshot.
    """

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
        self.book = book
        self.case = case
        self.last_folder: Path | None = None
        """Where the last recording came from."""
        self._fallback = fallback
        self._store = store
        self._rulebook = rulebook or Rulebook(book)
        self._clock = clock
        self._lock = RLock()
        self._events: list[Event] = list(store.events(case))
        self._snapshot = self._picture(None)

    @property
    def snapshot(self) -> Snapshot:
        """The case as it stands."""
        return self._snapshot

    @property
    def events(self) -> tuple[Event, ...]:
        """Every event, struck ones included, numbered from 1 by their place."""
        return tuple(self._events)

    @cached_property
    def pages(self) -> BookPages:
        """The book of the case, to browse."""
        return BookPages(self.book)

    def reload(self) -> Snapshot:
        """Read the case anew, after another window has gone on with it."""
        with self._lock:
            self._events = list(self._store.events(self.case))
            self._snapshot = self._picture(self._snapshot.assessment)
            return self._snapshot

    def amend(self, intake: TakenIn) -> Snapshot:
        """Say anew what the deck is."""
        return self._add(intake)

    def correct(self, name: str, deck: Deck, story: str, symptoms: Sequence[str]) -> Snapshot:
        """Bring what the deck is and what its owner told up to these; only changes are written."""
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
        tape: TestTape | None = None,
        watch: Watch | None = None,
    ) -> Heard:
        """Measure a recording, and say what it answers; nothing is written yet.

        Args:
            what: the kind of measurement.
            path: the sound file.
            asked: the check that it is made for; others that it tells are answered with it.
            tape: what the test tape holds, for the response; not needed for our own signals.
            watch: looks on, and may stop it.

        Raises:
            MeasureError: the file can't be read, or not be measured so.
            Stopped: `watch` wanted that.
        """
        self.last_folder = path.absolute().parent
        with named(path):
            return self._heard(listen(what, path, watch or Watch(), tape), path, asked)

    def hear_all(self, path: Path, *, watch: Watch | None = None) -> HeardAll:
        """Make every measurement that a recording allows; nothing is written yet.

        Raises:
            MeasureError: the file can't be read.
            Stopped: `watch` wanted that.
        """
        self.last_folder = path.absolute().parent
        with named(path):
            found = listen_to_all(path, watch or Watch())
        heard = [self._heard(m, path, "") for m in found.values() if isinstance(m, Measurement)]
        refused = [(what, str(m)) for what, m in found.items() if not isinstance(m, Measurement)]
        return HeardAll(tuple(heard), tuple(refused))

    def take_capture(self, heard: Heard, *, with_answers: bool = True) -> Snapshot:
        """Keep what a recording was found to hold, and let it answer its checks."""
        return self._add(
            Captured(
                at=self._clock(),
                what=heard.what,
                file=heard.file,
                figures=kept_figures(heard.found),
                curves=kept_curves(heard.found),
                remarks=heard.found.remarks,
                likely=kept_likely(heard.found),
                source=heard.found.source,
                readings=heard.readings if with_answers else (),
            )
        )

    def measure_capture(self, check: str, path: Path) -> Snapshot:
        """Answer a check by a recording.

        Raises:
            CaseError: no recording answers this check, or this one does not.
            MeasureError: the file can't be read, or not be measured so.
        """
        what = measured_by(self._known("checks", check))
        heard = self.hear(what, path, asked=check) if what else None
        if heard is None or check not in (reading.check for reading in heard.readings):
            raise CaseError(f"'{check}' can't be told from this.", do="Give its answer by hand.")
        return self.take_capture(heard)

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

    def write(self, event: Callable[..., Event]) -> Snapshot:
        """Write an event that lacks nothing but its time (`at`)."""
        return self._add(event(at=self._clock()))

    def strike(self, event: int) -> Snapshot:
        """Take an event back; it stays in the log."""
        return self._add(Struck(at=self._clock(), event=event))

    def bring_back(self, event: int) -> Snapshot:
        """Take back the strike of an event; nothing happens when it is not struck."""
        for number, strike in live_events(tuple(enumerate(self._events, start=1))):
            if isinstance(strike, Struck) and strike.event == event:
                return self.strike(number)
        return self.snapshot

    def undo(self) -> Snapshot:
        """Take the last event back; nothing happens when there is none."""
        last = self.snapshot.state.to_undo
        return self.snapshot if last is None else self.strike(last)

    def redo(self) -> Snapshot:
        """Bring back what was last taken back; nothing happens when there is nothing."""
        last = self.snapshot.state.to_redo
        return self.snapshot if last is None else self.strike(last)

    def step_view(self, kind: str, step: str) -> StepView:
        """The cautions before a check or a remedy, with those of its way and of what is open."""
        entry = self._known("checks" if kind == "check" else "remedies", step)
        found, open_layers = self.snapshot.assessment, self.snapshot.state.open_layers
        raised = found.conclusions.cautions if found else ()
        names = cautions_before(self.book, entry, open_layers, raised)
        beside = cautions_within_reach(self.book, entry, open_layers)
        cautions = tuple(self.book.cautions[name] for name in dict.fromkeys((*names, *beside)))
        unread = (c for c in cautions if c.id in names and self._unread(c, step))
        return StepView(step, cautions, tuple(unread))

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

    def _heard(self, found: Measurement, path: Path, asked: str) -> Heard:
        """What was found, with the checks that it answers, the one that was asked first.

        The recording is made: what it tells needs no cover off and puts no hand near a danger.
        """
        answered = [asked] if asked else []
        answered += [c for c, check in self.book.checks.items() if c != asked and is_told(check)]
        checks = map(self.book.checks.__getitem__, answered)
        readings = readings_of(checks, self.snapshot.state.deck, found)
        return Heard(found.what, kept_name(path.name), found, readings)

    def _unread(self, caution: Caution, step: str) -> bool:
        read = self.snapshot.state.acknowledged
        return caution.severity == "danger" and (caution.id, step) not in read

    def _known(self, section: str, name: str) -> Any:
        known = getattr(self.book, section)
        if name not in known:
            raise UnknownId(f"the book has no '{name}' in {section}.", do=nearest(name, known))
        return known[name]

    def _add(self, event: Event) -> Snapshot:
        with self._lock:
            self._store.append(self.case, event, after=len(self._events))
            self._events.append(event)
            self._snapshot = self._picture(self._snapshot.assessment)
            return self._snapshot

    def _picture(self, last: Assessment | None) -> Snapshot:
        state = fold(self._events)
        current = bring_up_to_date(self.book, state.history)
        found, trouble = self._assess(state, current.history, last)
        return Snapshot(
            revision=state.last,
            case=self.case,
            book=self.book,
            state=state,
            minutes=minutes_spent(self.book, state),
            left_out=current.left_out,
            assessment=found,
            trouble=trouble,
        )

    def _assess(
        self, state: CaseState, history: History, last: Assessment | None
    ) -> tuple[Assessment | None, str]:
        """The assessment, and what is wrong with it in words.

        Answers that the book can't bring together must not leave the bench without advice: then
        each counts as fairly sure only, and that is said.
        """
        standing = standing_of(state)
        trouble = ""
        try:
            return assess(self.book, self._rulebook, state.deck, history, standing, last), trouble
        except ImpossibleEvidence as error:
            trouble = f"{error} Until then every answer counts as fairly sure only."
        except InferenceError as error:
            return None, str(error)
        try:
            doubted = history.doubted()
            return assess(self.book, self._rulebook, state.deck, doubted, standing, last), trouble
        except InferenceError as error:
            return None, str(error)


def standing_of(state: CaseState) -> Standing:
    """What a folded case has come to, as far as it is not history."""
    return Standing(
        open_layers=state.open_layers,
        put_aside=state.cant_tell | state.skipped,
        done={step.remedy for step in (*state.remedies, *state.given_up)},
    )
