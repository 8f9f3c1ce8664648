"""What the trail of a case needs to have worked out: the ranking after every step."""

from __future__ import annotations

from collections.abc import Sequence

from diag.cases.events import Event
from diag.cases.fold import CaseState
from diag.errors import InferenceError
from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.history import History
from diag.rules.rulebook import Rulebook
from diag.session.assessment import Assessment
from diag.session.current import bring_up_to_date
from diag.session.minutes import minutes_of
from diag.session.words import conflict_in_words
from diag.trail.tell import TOP, Account, tell
from diag.trail.trail import Belief, Trail
from diag.trail.words import layer_says


def tell_trail(
    book: Book,
    rulebook: Rulebook,
    case: str,
    events: Sequence[Event],
    state: CaseState,
    found: Assessment | None,
) -> Trail:
    """The trail of a case as it stands; what was struck is told, and moves no ranking."""
    current = bring_up_to_date(book, state.history)
    return tell(
        book,
        Account(
            case=case,
            events=events,
            state=state,
            beliefs=_beliefs(book, rulebook, state, current.history),
            minutes={number: minutes_of(book, event) for number, event in state.live},
            concluded=_concluded(book, found),
            thumbs=tuple(found.conclusions.thumbs) if found else (),
            is_well=found is not None and found.is_well,
            open_questions=_open_questions(book, state, found),
            left_out=current.left_out,
        ),
    )


def _beliefs(
    book: Book, rulebook: Rulebook, state: CaseState, history: History
) -> dict[int, tuple[Belief, ...]]:
    """The first causes before everything (0), and after each event that is a step.

    All is seen with today's book and with what is known of the deck by now.
    """
    found = {}
    for count in range(len(history.steps) + 1):
        steps = history.steps[:count]
        part = History(history.symptoms, steps)
        try:
            raised = rulebook.conclude(state.deck, part).raised
            causes = solve(network(book, state.deck, part, raised)).causes
        except InferenceError:
            continue  # the ranking before stands until the answers go together again
        top = sorted(causes, key=lambda cause: (-causes[cause], cause))[:TOP]
        number = steps[-1].event if steps else 0
        found[number] = tuple(Belief(c, book.causes[c].says, causes[c]) for c in top)
    return found


def _concluded(book: Book, found: Assessment | None) -> tuple[str, ...]:
    """Derived facts and conflicts, in sentences."""
    if found is None:
        return ()
    told = []
    for fact, because in found.conclusions.derived.items():
        rule = book.rules.get(because.rule)
        told.append((rule.says if rule else "") or f"{fact.replace('_', ' ').capitalize()}.")
    told += [conflict.text for conflict in found.conclusions.conflicts]
    told += [words] if (words := conflict_in_words(book, found.conflict)) else []
    return tuple(dict.fromkeys(told))


def _open_questions(book: Book, state: CaseState, found: Assessment | None) -> tuple[str, ...]:
    """What comes next, what was put aside, and what lies open."""
    told = []
    for step in found.steps[:3] if found else ():
        entry = book.checks[step.id].ask if step.kind == "check" else book.remedies[step.id].says
        told.append(f"{entry} {step.why}")
    for name, words in [
        *((check, "could not be told") for check in sorted(state.cant_tell)),
        *((check, "was left for later") for check in sorted(state.skipped)),
    ]:
        asked = book.checks[name].ask if name in book.checks else name
        told.append(f"{asked} This {words}.")
    told += [f"{layer_says(book, layer)}: still open." for layer in state.open_layers]
    return tuple(told)
