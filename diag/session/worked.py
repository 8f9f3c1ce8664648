"""What a result of the workshop means to a case: answers, facts of the deck, and work that is done.

The sum names quantities and the book names what asks for them; neither knows the other.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from diag.errors import CaseError
from diag.model.history import Sure
from diag.model.quantity import figure
from diag.model.trait import Deck, check_deck, fits
from diag.model.words import answer_says
from diag.session.answer_to import answer_to
from diag.session.covered import boards_in_words, covered, unknown_boards
from diag.workshop.told import Renewed, Told

if TYPE_CHECKING:
    from diag.session.session import Session
    from diag.session.snapshot import Snapshot

RULES = "Facts of the deck; the rules of the book use them."
KNOWN = "The case has it so already."
DOUBT = "The limits of the sum and of the book differ here, so fairly sure only."


@dataclass(frozen=True, slots=True, kw_only=True)
class Meaning:
    """One thing that a result can say to a case. Nothing is written until a person takes it.

    Args:
        kind: whether it answers a check, tells facts of the deck, or is a remedy that is done.
        id: of the check or the remedy; of facts, that of the first.
        says: what is put down.
        detail: why, and what goes with it.
        because: the figure in words, for the note.
        of: which thing of a list it holds for, if that is in the deck; empty otherwise.
        opens: layers that are put down as open with it, for it can't be done otherwise.
        answer: of a check.
        value: of a measuring check; None where the answer rests on the limits of the sum.
        sure: how sure the answer is.
        facts: of the deck.
    """

    kind: Literal["check", "facts", "remedy"]
    id: str
    says: str
    detail: str
    because: str
    of: str = ""
    opens: tuple[str, ...] = ()
    answer: str = ""
    value: float | None = None
    sure: Sure = "certain"
    facts: tuple[tuple[str, float], ...] = ()


def meanings(
    snapshot: Snapshot, told: Sequence[Told], renewed: Sequence[Renewed] = ()
) -> tuple[Meaning, ...]:
    """All that a result can say to a case, in the order of the result.

    Args:
        snapshot: the case as it stands.
        told: the figures of the result.
        renewed: the capacitors that it changes.
    """
    facts = _facts(snapshot, told)
    answers = (one for each in told for one in _answers(snapshot, each))
    return (*([facts] if facts else []), *answers, *_remedies(snapshot, renewed))


def remarks_on(snapshot: Snapshot, renewed: Sequence[Renewed]) -> tuple[str, ...]:
    """What of a list of capacitors the book can make nothing of."""
    boards = unknown_boards(snapshot, renewed)
    known = boards_in_words(snapshot)
    return tuple(
        f"The book has no remedy for capacitors of a board '{board}'; it has some for: {known}."
        for board in boards
    )


def put_down(session: Session, note: str, taken: Sequence[Meaning]) -> Snapshot:
    """Write a result into a case as a note, and what it was taken to mean, each as its own event.

    Raises:
        CaseError: a check would get two answers, or a fact can't be; nothing is written then.
    """
    checks = [each.id for each in taken if each.kind == "check"]
    twice = next((each for n, each in enumerate(checks) if each in checks[:n]), None)
    if twice is not None:
        raise CaseError(
            f"'{session.book.checks[twice].ask}' would get two answers.",
            do="Take the one thing that is in the deck, and leave the others.",
        )
    for each in taken:
        if each.kind == "facts":
            check_deck(_deck_with(session, each), session.book.facts)
    because = dict.fromkeys(each.because for each in taken if each.because)
    session.note(" ".join([note, *(f"{told}." for told in because)]).strip())
    for each in taken:
        for layer in each.opens:
            session.open(layer)
        _write(session, each)
    return session.snapshot


def _write(session: Session, meaning: Meaning) -> None:
    if meaning.kind == "remedy":
        session.mend(meaning.id, "done", meaning.because)
    elif meaning.kind == "facts":
        state = session.snapshot.state
        session.correct(
            state.name, _deck_with(session, meaning), state.story, state.history.symptoms
        )
    elif meaning.value is not None:
        session.measure(meaning.id, meaning.value, meaning.sure)
    else:
        session.answer(meaning.id, meaning.answer, meaning.sure)


def _deck_with(session: Session, meaning: Meaning) -> Deck:
    deck = session.snapshot.state.deck
    return replace(deck, facts={**deck.facts, **dict(meaning.facts)})


def _facts(snapshot: Snapshot, told: Iterable[Told]) -> Meaning | None:
    """All facts of the deck that a result tells, taken together or not at all."""
    found = [
        (fact, each)
        for each in told
        for fact in snapshot.book.facts.values()
        if fact.quantity and (fact.quantity, fact.unit) == (each.quantity, each.unit_symbol)
    ]
    if not found:
        return None
    known = snapshot.state.deck.facts
    values = tuple((fact.id, each.value) for fact, each in found)
    is_new = any(known.get(name) != value for name, value in values)
    return Meaning(
        kind="facts",
        id=found[0][0].id,
        says="; ".join(f"{fact.ask} {figure(each.value)} {fact.unit}" for fact, each in found),
        detail=f"{RULES if is_new else KNOWN}{_lacking(snapshot, dict(values))}",
        because=". ".join(each.says for _, each in found),
        facts=values,
    )


def _lacking(snapshot: Snapshot, facts: Collection[str]) -> str:
    """What the rules that use facts ask for besides, and that nobody has told."""
    book, deck = snapshot.book, snapshot.state.deck
    conditions = [tuple(rule.when.every_condition()) for rule in book.rules.values()]
    traits = {
        part.trait
        for every in conditions
        if any(part.fact in facts for part in every)
        for part in every
        if part.trait is not None
    }
    untold = [
        t for t in book.traits.values() if t.id in traits - {*deck.traits, *book.given_traits}
    ]
    asks = " ".join(trait.ask for trait in untold)
    return f" They also want to know: {asks}" if asks else ""


def _answers(snapshot: Snapshot, told: Told) -> Iterator[Meaning]:
    """The checks of the book that ask for a figure, each with its answer."""
    traits = snapshot.state.deck.traits
    for check in snapshot.book.checks.values():
        asks = check.measures
        if asks is None or (asks.quantity, asks.unit) != (told.quantity, told.unit_symbol):
            continue
        found = answer_to(check, told)
        if found is None or not fits(check.where, traits):
            continue
        opens = _closed(snapshot, check.at)
        why = "" if found.sure == "certain" else f"{DOUBT} "
        asked = f"{check.ask} {answer_says(check, found.answer)}"
        says, besides = (f"If in the deck: {told.says}", asked) if told.of else (asked, told.says)
        yield Meaning(
            kind="check",
            id=check.id,
            says=says,
            detail=f"{besides}. {why}{_opening(opens)}".strip(),
            because=told.says,
            of=told.of,
            opens=opens,
            answer=found.answer,
            value=found.value,
            sure=found.sure,
        )


def _remedies(snapshot: Snapshot, renewed: Sequence[Renewed]) -> Iterator[Meaning]:
    for each in covered(snapshot, renewed):
        entry = snapshot.book.remedies[each.remedy]
        opens = _closed(snapshot, entry.at)
        names = " ".join(each.references)
        board = f", if on the {each.board}" if each.board else ""
        yield Meaning(
            kind="remedy",
            id=entry.id,
            says=f"Done: {entry.says}",
            detail=f"{names}{board}. Covers: {each.causes_in_words}. {_opening(opens)}".strip(),
            because=f"Renewed: {names}",
            opens=opens,
        )


def _closed(snapshot: Snapshot, layer: str) -> tuple[str, ...]:
    """The layers on the way to one that are not open."""
    ways = snapshot.book.ways[layer]
    return tuple(name for name in ways if name not in snapshot.state.open_layers)


def _opening(layers: Sequence[str]) -> str:
    names = ", ".join(name.replace("_", " ") for name in layers)
    return f"Put down as open with it: {names}." if names else ""
