"""From the events of a case to its state.

The fold knows no book: ids in events may be unknown to the book of today, and that is for the
caller to tell.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from datetime import datetime
from typing import assert_never

from diag.cases.events import (
    Acknowledged,
    Answered,
    Captured,
    Closed,
    Event,
    Measured,
    Noted,
    Opened,
    Remedied,
    Struck,
    SymptomTold,
    TakenIn,
)
from diag.cases.held_against import HeldAgainst
from diag.cases.part_kept import PartKept
from diag.cases.taken_apart import PutBack, TakenOff
from diag.errors import CaseError
from diag.model import history
from diag.model.history import Given, History, Mended
from diag.model.trait import Deck

Numbered = tuple[int, Event]


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseState:
    """A case as it stands; what was struck is nowhere in it but in `to_redo`.

    `history` has a step for every answer, finished remedy and opening; 'can't tell', a check left
    out and a remedy given up are none. `answers` and `measured` hold the latest of each check, be
    it given or read from a recording; `captures` has every recording with its number;
    `cant_tell` and `skipped` the checks whose latest event says so. `acknowledged` holds pairs
    (caution, check or remedy). `taken_off` has all that came off, corrected, under the number by
    which it was told first; `put_back` what went back on; `parts` the latest of each pair (remedy,
    part); `held_against` is the specification that was chosen last. `live` has every event that
    holds, with its number, without the strikes themselves. `last` is the number of the last event
    of all. `to_undo` and `to_redo` are the numbers to strike in order to go one step back or
    forward again.
    """

    name: str
    family: str
    deck: Deck
    story: str
    book_digest: str
    history: History
    open_layers: tuple[str, ...]
    answers: Mapping[str, Given]
    measured: Mapping[str, Measured]
    captures: tuple[tuple[int, Captured], ...]
    cant_tell: AbstractSet[str]
    skipped: AbstractSet[str]
    acknowledged: AbstractSet[tuple[str, str]]
    remedies: tuple[Mended, ...]
    given_up: tuple[Mended, ...]
    notes: tuple[tuple[int, Noted], ...]
    taken_off: Mapping[int, TakenOff]
    put_back: tuple[tuple[int, PutBack], ...]
    parts: Mapping[tuple[str, str], PartKept]
    held_against: HeldAgainst | None
    live: tuple[Numbered, ...]
    last: int
    started: datetime
    touched: datetime
    to_undo: int | None
    to_redo: int | None


def admit(event: Event, number: int) -> None:
    """Refuse an event that can't stand at this number of a case.

    Raises:
        CaseError: the first event is no intake, or a strike, a correction or a putting back names
            an event that is not before it.
    """
    if number == 1 and not isinstance(event, TakenIn):
        raise CaseError("The first event is no intake.", where="event 1", do="Take the deck in.")
    if isinstance(event, Struck) and event.event >= number:
        raise CaseError(
            f"It strikes event {event.event}, which is not there yet.",
            where=f"event {number}",
            do="Strike an event that came before.",
        )
    named = event.item if isinstance(event, PutBack) else getattr(event, "corrects", 0)
    if named >= number:
        raise CaseError(
            f"It names event {named}, which is not there yet.",
            where=f"event {number}",
            do="Name an event that came before.",
        )


def live_events(events: Sequence[Numbered]) -> tuple[Numbered, ...]:
    """The events that no living strike takes back, strikes included, in their order."""
    struck: set[int] = set()
    live: list[Numbered] = []
    # A strike names an earlier event, so going backwards its own fate is known before it acts.
    for number, event in reversed(events):
        if number in struck:
            continue
        live.append((number, event))
        if isinstance(event, Struck):
            struck.add(event.event)
    return tuple(reversed(live))


def fold(events: Sequence[Event]) -> CaseState:
    """The state after these events, which are numbered from 1.

    Raises:
        CaseError: there is no event, or one that `admit` refuses.
    """
    if not events:
        raise CaseError("The case has no events.", do="Take the deck in.")
    numbered = tuple(enumerate(events, start=1))
    for number, event in numbered:
        admit(event, number)
    live = live_events(numbered)
    tally = _Tally()
    for number, event in live:
        tally.take(number, event)
    intake = tally.intakes[-1]
    standing = tuple(pair for pair in live if not isinstance(pair[1], Struck))
    return CaseState(
        name=intake.name,
        family=intake.family,
        deck=intake.deck,
        story=intake.story,
        book_digest=intake.book_digest,
        history=History(tuple(tally.symptoms), tuple(tally.steps)),
        open_layers=tuple(tally.open_layers),
        answers=tally.answers,
        measured=tally.measured,
        captures=tuple(tally.captures),
        cant_tell=frozenset(c for c, why in tally.unanswered.items() if why == "cant_tell"),
        skipped=frozenset(c for c, why in tally.unanswered.items() if why == "skipped"),
        acknowledged=frozenset(tally.acknowledged),
        remedies=tuple(step for step in tally.steps if isinstance(step, Mended)),
        given_up=tuple(tally.given_up),
        notes=tuple(tally.notes),
        taken_off=tally.taken_off,
        put_back=tuple(tally.put_back),
        parts=tally.parts,
        held_against=tally.held_against,
        live=standing,
        last=len(events),
        started=events[0].at,
        touched=events[-1].at,
        to_undo=standing[-1][0] if len(standing) > 1 else None,
        to_redo=_to_redo(events, live),
    )


def _to_redo(events: Sequence[Event], live: Sequence[Numbered]) -> int | None:
    """The last living strike of an event proper, unless something was done since."""
    for number, event in reversed(live):
        if not isinstance(event, Struck):
            continue
        if isinstance(events[event.event - 1], Struck):
            continue  # that was a redo
        since = events[number:]
        return number if all(isinstance(later, Struck) for later in since) else None
    return None


@dataclass(slots=True)
class _Tally:
    """Collects living events in their order; lives only as long as one fold."""

    intakes: list[TakenIn] = field(default_factory=list)
    symptoms: dict[str, None] = field(default_factory=dict)
    steps: list[history.Step] = field(default_factory=list)
    open_layers: list[str] = field(default_factory=list)
    answers: dict[str, Given] = field(default_factory=dict)
    measured: dict[str, Measured] = field(default_factory=dict)
    captures: list[tuple[int, Captured]] = field(default_factory=list)
    unanswered: dict[str, str] = field(default_factory=dict)
    acknowledged: set[tuple[str, str]] = field(default_factory=set)
    given_up: list[Mended] = field(default_factory=list)
    notes: list[tuple[int, Noted]] = field(default_factory=list)
    taken_off: dict[int, TakenOff] = field(default_factory=dict)
    told_first: dict[int, int] = field(default_factory=dict)
    put_back: list[tuple[int, PutBack]] = field(default_factory=list)
    parts: dict[tuple[str, str], PartKept] = field(default_factory=dict)
    held_against: HeldAgainst | None = None

    def take(self, number: int, event: Event) -> None:
        """Count one living event."""
        match event:
            case TakenIn():
                self.intakes.append(event)
            case SymptomTold():
                self.symptoms.setdefault(event.symptom)
            case Answered() | Measured() | Captured():
                self._hear(number, event)
            case Opened() | Closed():
                self._turn(number, event)
            case Remedied():
                mended = Mended(event.remedy, number)
                (self.steps if event.outcome == "done" else self.given_up).append(mended)
            case Acknowledged():
                self.acknowledged.add((event.caution, event.before))
            case Noted():
                self.notes.append((number, event))
            case TakenOff() | PutBack() | PartKept() | HeldAgainst():
                self._keep(number, event)
            case Struck():
                pass  # has acted already, on what is living at all
            case _:
                assert_never(event)

    def _keep(self, number: int, event: TakenOff | PutBack | PartKept | HeldAgainst) -> None:
        match event:
            case TakenOff():
                # What corrects an event that is struck stands for itself.
                first = self.told_first.get(event.corrects, number)
                self.told_first[number] = first
                self.taken_off[first] = event
            case PutBack():
                self.put_back.append((number, event))
            case PartKept():
                self.parts[event.remedy, event.part] = event
            case HeldAgainst():
                self.held_against = event

    def _hear(self, number: int, event: Answered | Measured | Captured) -> None:
        if isinstance(event, Captured):
            self.captures.append((number, event))
            for r in event.readings:
                self._hear(
                    number, Measured(r.check, r.value, r.unit, r.answer, r.sure, at=event.at)
                )
            return
        if event.sure == "cant_tell" or event.sure == "skipped":
            self.unanswered[event.check] = event.sure
            return
        given = Given(event.check, event.answer, event.sure, number)
        self.steps.append(given)
        self.answers[event.check] = given
        self.unanswered.pop(event.check, None)
        if isinstance(event, Measured):
            self.measured[event.check] = event
        else:
            self.measured.pop(event.check, None)

    def _turn(self, number: int, event: Opened | Closed) -> None:
        if isinstance(event, Closed):
            if event.layer in self.open_layers:
                self.open_layers.remove(event.layer)
        elif event.layer not in self.open_layers:
            # An open layer can't be opened again: a second telling disturbs nothing.
            self.open_layers.append(event.layer)
            self.steps.append(history.Opened(event.layer, number))
