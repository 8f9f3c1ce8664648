"""The picture of a case: its events folded, brought to today's book, and assessed."""

from __future__ import annotations

from collections.abc import Sequence

from diag.cases.events import Event
from diag.cases.fold import CaseState, fold
from diag.errors import ImpossibleEvidence, InferenceError
from diag.model.book import Book
from diag.model.history import History
from diag.rules.rulebook import Rulebook
from diag.session.assessment import Assessment, Standing, assess
from diag.session.current import bring_up_to_date
from diag.session.minutes import minutes_spent
from diag.session.snapshot import Snapshot


def picture(
    book: Book, rulebook: Rulebook, case: str, events: Sequence[Event], last: Assessment | None
) -> Snapshot:
    """How a case stands after these events; `last` is the assessment before, for what moved."""
    state = fold(events)
    current = bring_up_to_date(book, state.history)
    found, trouble = _assess(book, rulebook, state, current.history, last)
    return Snapshot(
        revision=state.last,
        case=case,
        book=book,
        state=state,
        minutes=minutes_spent(book, state),
        left_out=current.left_out,
        assessment=found,
        trouble=trouble,
    )


def _assess(
    book: Book, rulebook: Rulebook, state: CaseState, history: History, last: Assessment | None
) -> tuple[Assessment | None, str]:
    """The assessment, and what is wrong with it in words.

    Answers that the book can't bring together must not leave the bench without advice: then
    each counts as fairly sure only, and that is said.
    """
    standing = _standing_of(state)
    trouble = ""
    try:
        return assess(book, rulebook, state.deck, history, standing, last), trouble
    except ImpossibleEvidence as error:
        trouble = f"{error} Until then every answer counts as fairly sure only."
    except InferenceError as error:
        return None, str(error)
    try:
        doubted = history.doubted()
        return assess(book, rulebook, state.deck, doubted, standing, last), trouble
    except InferenceError as error:
        return None, str(error)


def _standing_of(state: CaseState) -> Standing:
    """What a folded case has come to, as far as it is not history."""
    return Standing(
        open_layers=state.open_layers,
        put_aside=state.cant_tell | state.skipped,
        done={step.remedy for step in (*state.remedies, *state.given_up)},
    )
