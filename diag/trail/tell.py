"""From a case to its trail."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diag import __version__
from diag.cases.events import Event, Remedied
from diag.cases.fold import CaseState
from diag.model.book import Book
from diag.model.words import layer_says
from diag.trail.before_after import before_and_after
from diag.trail.judged import Judged
from diag.trail.loose import stripped
from diag.trail.loose_words import return_words, taken_words
from diag.trail.steps import steps_of, thumb_told
from diag.trail.trail import Belief, PartTold, RemedyTold, ThingTold, Trail
from diag.trail.words import known_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """What was worked out about a case, as the session hands it over.

    `beliefs` has the ranking after each living event by its number (0: before the first), `minutes`
    what each took. `concluded`, `open_questions`, `left_out` and `trouble` are sentences; `thumbs`
    are ids, `parts` what the deck needs; `judged` has its recordings against a specification.
    """

    case: str
    events: Sequence[Event]
    state: CaseState
    beliefs: Mapping[int, tuple[Belief, ...]]
    ranking: tuple[Belief, ...]
    minutes: Mapping[int, float]
    concluded: tuple[str, ...]
    thumbs: tuple[str, ...]
    parts: tuple[PartTold, ...]
    is_well: bool
    open_questions: tuple[str, ...]
    left_out: tuple[str, ...]
    trouble: str
    judged: Judged | None


def tell(book: Book, account: Account) -> Trail:
    """Tell a case once; every renderer says the same."""
    state = account.state
    steps = steps_of(book, account.events, state, account.beliefs, account.minutes)
    cited = [thumb.says for step in steps for thumb in step.thumbs]
    own = tuple(thumb_told(book, name) for name in account.thumbs)
    return Trail(
        case=account.case,
        name=state.name,
        family=book.says or state.family,
        known=tuple(known_words(book, state.deck)),
        story=state.story,
        complaints=tuple(
            book.symptoms[name].says if name in book.symptoms else name
            for name in state.history.symptoms
        ),
        started=state.started,
        touched=state.touched,
        steps=steps,
        remedies=tuple(_remedies(book, state)),
        things=tuple(_things(book, state)),
        parts=account.parts,
        measured=before_and_after(state),
        judged=account.judged,
        minutes=sum(account.minutes.values()),
        open_layers=tuple(layer_says(book, name) for name in state.open_layers),
        concluded=account.concluded,
        ranking=account.ranking,
        is_well=account.is_well,
        thumbs=tuple(thumb for thumb in own if thumb.says not in cited),
        open_questions=account.open_questions,
        left_out=account.left_out,
        trouble=account.trouble,
        begun_with=state.book_digest,
        book_digest=book.digest,
        version=__version__,
    )


def _remedies(book: Book, state: CaseState) -> list[RemedyTold]:
    told = []
    for _, event in state.live:
        if isinstance(event, Remedied):
            entry = book.remedies.get(event.remedy)
            says, parts = (entry.says, entry.parts) if entry else (event.remedy, ())
            outcome = "done" if event.outcome == "done" else "given up"
            own = entry is not None and entry.origin.is_addition
            told.append(RemedyTold(says, outcome, tuple(parts), event.note, own))
    return told


def _things(book: Book, state: CaseState) -> Iterator[ThingTold]:
    """All that came off, the outermost layer first."""
    for layer in stripped(book, state):
        for thing in layer.things:
            yield ThingTold(
                number=thing.number,
                layer=layer.says,
                says=taken_words(thing.taken),
                left=thing.left,
                returned=tuple(return_words(back, thing.taken) for back in thing.returns),
            )
