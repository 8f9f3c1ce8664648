"""From a case to its trail."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diag import __version__
from diag.cases.events import Event, Remedied
from diag.cases.fold import CaseState
from diag.model.book import Book
from diag.model.trait import Deck
from diag.trail.trail import Belief, CautionTold, RemedyTold, ThumbTold, Trail, TrailStep
from diag.trail.words import event_words, layer_says

TOP = 5
"""Causes told around each step."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """What was worked out about a case, as the session hands it over.

    `beliefs` has the ranking after each living event by its number (0: before the first), `minutes`
    what each took; `concluded` and `open_questions` are sentences.
    """

    case: str
    events: Sequence[Event]
    state: CaseState
    beliefs: Mapping[int, tuple[Belief, ...]]
    minutes: Mapping[int, float]
    concluded: tuple[str, ...]
    thumbs: tuple[str, ...]
    is_well: bool
    open_questions: tuple[str, ...]
    left_out: tuple[str, ...]


def tell(book: Book, account: Account) -> Trail:
    """Tell a case once; every renderer says the same."""
    state = account.state
    steps = tuple(_steps(book, account))
    last = account.beliefs[max(account.beliefs)] if account.beliefs else ()
    cited = [thumb.says for step in steps for thumb in step.thumbs]
    own = tuple(_thumb(book, name) for name in account.thumbs)
    return Trail(
        case=account.case,
        name=state.name,
        family=book.says or state.family,
        known=tuple(_known(book, state.deck)),
        story=state.story,
        complaints=tuple(
            book.symptoms[name].says if name in book.symptoms else name
            for name in state.history.symptoms
        ),
        started=state.started,
        touched=state.touched,
        steps=steps,
        remedies=tuple(_remedies(book, state)),
        minutes=sum(account.minutes.values()),
        open_layers=tuple(layer_says(book, name) for name in state.open_layers),
        concluded=account.concluded,
        ranking=last,
        is_well=account.is_well,
        thumbs=tuple(thumb for thumb in own if thumb.says not in cited),
        open_questions=account.open_questions,
        left_out=account.left_out,
        book_digest=book.digest,
        version=__version__,
    )


def _steps(book: Book, account: Account) -> list[TrailStep]:
    live = {number for number, _ in account.state.live}
    steps, before = [], account.beliefs.get(0, ())
    for number, event in enumerate(account.events, start=1):
        after = account.beliefs.get(number, before)
        moved = number in live and after != before
        steps.append(
            TrailStep(
                number=number,
                at=event.at,
                kind=type(event).__name__,
                says=event_words(book, account.events, number),
                minutes=account.minutes.get(number, 0.0),
                struck=number not in live and type(event).__name__ != "Struck",
                before=before[:TOP] if moved else (),
                after=after[:TOP] if moved else (),
                cautions=_cautions(book, account.state, event),
                thumbs=_thumbs(book, event),
            )
        )
        before = after
    return steps


def _entry(book: Book, event: Event) -> tuple[str, tuple[str, ...], tuple[str, ...]]:
    """The id, cautions and thumbs of the check or remedy that an event is about."""
    if isinstance(event, Remedied) and event.remedy in book.remedies:
        remedy = book.remedies[event.remedy]
        return remedy.id, remedy.cautions, remedy.cites
    check = book.checks.get(getattr(event, "check", ""))
    return (check.id, check.cautions, check.cites) if check else ("", (), ())


def _cautions(book: Book, state: CaseState, event: Event) -> tuple[CautionTold, ...]:
    step, names, _ = _entry(book, event)
    return tuple(
        CautionTold(
            book.cautions[name].says,
            book.cautions[name].severity,
            (name, step) in state.acknowledged,
        )
        for name in names
    )


def _thumbs(book: Book, event: Event) -> tuple[ThumbTold, ...]:
    return tuple(_thumb(book, name) for name in _entry(book, event)[2])


def _thumb(book: Book, name: str) -> ThumbTold:
    thumb = book.thumbs[name]
    source = book.sources[thumb.source]
    return ThumbTold(thumb.says, source.standing, source.title)


def _remedies(book: Book, state: CaseState) -> list[RemedyTold]:
    told = []
    for _, event in state.live:
        if isinstance(event, Remedied):
            entry = book.remedies.get(event.remedy)
            says, parts = (entry.says, entry.parts) if entry else (event.remedy, ())
            outcome = "done" if event.outcome == "done" else "given up"
            told.append(RemedyTold(says, outcome, tuple(parts), event.note))
    return told


def _known(book: Book, deck: Deck) -> list[tuple[str, str]]:
    """What is known of the deck, in the book's words."""
    known = [] if deck.age_years is None else [("Age", f"{deck.age_years:g} years")]
    for name, value in deck.traits.items():
        ask = book.traits[name].ask if name in book.traits else name
        known.append((ask, value.replace("_", " ")))
    for name, fact in deck.facts.items():
        entry = book.facts.get(name)
        words = f"{fact:g} {entry.unit if entry else ''}" if isinstance(fact, float) else fact
        known.append((entry.ask if entry else name, words.strip()))
    return known
