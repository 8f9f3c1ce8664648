"""What the trail of a case needs to have worked out: the ranking after every step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diag.cases.events import Event
from diag.cases.fold import CaseState, fold
from diag.cases.part_kept import PartKept
from diag.cases.taken_apart import PutBack, TakenOff
from diag.errors import ImpossibleEvidence, InferenceError
from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.words import caution_says, layer_says, step_says
from diag.rules.rulebook import Rulebook
from diag.session.assessment import Assessment, rank
from diag.session.current import bring_up_to_date
from diag.session.minutes import minutes_of
from diag.session.parts import PartLine, parts_of
from diag.session.snapshot import Snapshot
from diag.session.words import conflict_in_words, outside_in_words
from diag.trail.judged import Judged
from diag.trail.steps import TOP
from diag.trail.tell import Account, tell
from diag.trail.trail import Belief, PartTold, Trail

LAST = 10
"""Causes of the ranking with which the trail ends."""


def tell_trail(
    rulebook: Rulebook,
    events: Sequence[Event],
    snapshot: Snapshot,
    judged: Judged | None,
) -> Trail:
    """The trail of a case as it stands; what was struck is told, and moves no ranking."""
    book, state, found = snapshot.book, snapshot.state, snapshot.assessment
    return tell(
        book,
        Account(
            case=snapshot.case,
            events=events,
            state=state,
            beliefs=_beliefs(book, rulebook, state),
            ranking=beliefs(book, found.posterior.causes, LAST) if found else (),
            minutes={number: minutes_of(book, event) for number, event in state.live},
            concluded=_concluded(book, found),
            parts=tuple(_part(line) for line in parts_of(book, state)),
            thumbs=tuple(found.conclusions.thumbs) if found else (),
            is_well=found is not None and found.is_well,
            open_questions=_open_questions(book, state, found),
            left_out=snapshot.left_out,
            trouble=snapshot.trouble,
            judged=judged,
        ),
    )


def _beliefs(book: Book, rulebook: Rulebook, state: CaseState) -> dict[int, tuple[Belief, ...]]:
    """The first causes after the intake (0), and after each event that holds.

    Each is seen with the deck as it was known then, and with today's book.
    """
    found: dict[int, tuple[Belief, ...]] = {}
    before = None
    # What comes off or is ordered moves no ranking, and names events by numbers that this changes.
    live = [told for told in state.live if not isinstance(told[1], TakenOff | PutBack | PartKept)]
    for count in range(1, len(live) + 1):
        by_then = fold([event for _, event in live[:count]])
        known = (by_then.deck, by_then.history, by_then.open_layers)
        if known != before:
            number = live[count - 1][0] if count > 1 else 0
            causes = _causes(book, rulebook, by_then)
            if causes is not None:
                found[number] = beliefs(book, causes, TOP)
        before = known
    return found


def _causes(book: Book, rulebook: Rulebook, state: CaseState) -> Mapping[str, float] | None:
    """Probabilities of a state; as in a session, answers that can't be together count as doubtful.

    None where they can't be worked out: then the ranking before stands.
    """
    history = bring_up_to_date(book, state.history).history
    raised = rulebook.conclude(state.deck, history, state.open_layers).raised
    for told in (history, history.doubted()):
        try:
            return solve(network(book, state.deck, told, raised)).causes
        except ImpossibleEvidence:
            continue
        except InferenceError:
            break
    return None


def beliefs(book: Book, causes: Mapping[str, float], most: int) -> tuple[Belief, ...]:
    """The first causes, most probable first; equals in order of their ids."""
    return tuple(
        Belief(c.id, c.says, c.probability, book.causes[c.id].origin.is_addition)
        for c in rank(book, causes, {})[:most]
    )


def _part(line: PartLine) -> PartTold:
    return PartTold(
        part=line.part,
        work=line.work,
        state=line.state.replace("_", " "),
        count=line.count,
        price=line.price,
        note=line.note,
    )


def _concluded(book: Book, found: Assessment | None) -> tuple[str, ...]:
    """What the rules derive and warn of, and what does not go together, in sentences."""
    if found is None:
        return ()
    told = []
    for fact, because in found.conclusions.derived.items():
        rule = book.rules.get(because.rule)
        told.append((rule.says if rule else "") or f"{fact.replace('_', ' ').capitalize()}.")
    cautions = [book.cautions[name] for name in found.conclusions.cautions]
    told += [f"{c.severity.capitalize()}: {caution_says(c)}" for c in cautions]
    told += [conflict.text for conflict in found.conclusions.conflicts]
    told += [words] if (words := conflict_in_words(book, found.conflict)) else []
    return tuple(dict.fromkeys(told))


def _open_questions(book: Book, state: CaseState, found: Assessment | None) -> tuple[str, ...]:
    """What lies outside the book, what comes next, what was put aside, and what lies open."""
    steps = found.steps[:3] if found else ()
    told = [words] if found and (words := outside_in_words(book, found)) else []
    told += [f"{_sentence(step_says(book, step.kind, step.id))} {step.why}" for step in steps]
    for name, words in [
        *((check, "could not be told") for check in sorted(state.cant_tell)),
        *((check, "was left for later") for check in sorted(state.skipped)),
    ]:
        asked = book.checks[name].ask if name in book.checks else name
        told.append(f"{asked} This {words}.")
    told += [f"{layer_says(book, layer)}: still open." for layer in state.open_layers]
    return tuple(told)


def _sentence(words: str) -> str:
    return words if words.endswith((".", "?", "!")) else f"{words}."
