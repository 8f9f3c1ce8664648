"""What would change the advice about a cause, in sentences for a person."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diag.inference.posterior import OFTEN
from diag.model.book import Book
from diag.model.words import answer_says, chance_in_words, step_says
from diag.planning.next_step import NextStep
from diag.planning.reasons import minutes_in_words
from diag.planning.situation import Situation
from diag.planning.stability import FURTHEST, OFF, Shift, Stability, stability
from diag.planning.step_stability import NewStep, new_steps
from diag.planning.toppling import Toppling, Turn, open_gains, toppling

TOLD = 3
"""How many answers, and how many shares, are told; the rest is counted."""
TOO_WIDE = "Too many signs hang together to say; settle doubtful ones first."


@dataclass(frozen=True, slots=True)
class ChangeOfMind:
    """What would change the standing of a cause, each a sentence, and the nearest first.

    `answers` are those that nobody gave yet; `shares` are figures of the book that may be off.
    """

    answers: tuple[str, ...]
    shares: tuple[str, ...]


def change_of_mind(at: Situation, next_step: NextStep | None, cause: str) -> ChangeOfMind:
    """Work out what would topple a cause, or put it first; for the first, the next step, too.

    It may take a second: call it in a thread. Where signs hang together so widely that what-ifs
    are estimates only, nothing is told but that.

    Args:
        at: the situation of the case.
        next_step: what is to be done next as things are.
        cause: a cause that the deck can have.
    """
    if at.now.bounds is not None or at.now.width > OFTEN:
        return ChangeOfMind((TOO_WIDE,), (TOO_WIDE,))
    shares = stability(at, cause)
    told = _shares(at.book, shares)
    if shares.is_first:
        told += _steps(at, next_step, shares.matter)
    return ChangeOfMind(tuple(_answers(at.book, toppling(at, open_gains(at), cause))), tuple(told))


def _answers(book: Book, found: Toppling) -> list[str]:
    told = [_turn(book, turn, found.cause) for turn in found.turns[:TOLD]]
    if len(found.turns) > TOLD:
        told.append(f"{_counted(len(found.turns) - TOLD, 'more answer')} would do as much.")
    if not found.turns:
        told.append(f"No single answer would put {_who(found.is_first)} first.")
        if found.most:
            to = chance_in_words(found.most.to)
            told.append(f"It moves most if {_answer(book, found.most)}: to {to}.")
    if found.unseen:
        told.append(f"{_counted(found.unseen, 'check')} left out: too much hangs together.")
    return told


def _turn(book: Book, turn: Turn, cause: str) -> str:
    first = _named(book, turn.first, cause, "this one")
    return f"If {_answer(book, turn)}, {first} comes first."


def _answer(book: Book, turn: Turn) -> str:
    check = book.checks[turn.check]
    cost = f"{chance_in_words(turn.chance)} likely, {minutes_in_words(turn.minutes)}"
    return f"'{check.ask}' is answered '{answer_says(check, turn.answer)}' ({cost})"


def _shares(book: Book, found: Stability) -> list[str]:
    near = [shift for shift in found.shifts if shift.times_off <= OFF]
    told = [_summary(found, near)]
    told += [_share(book, shift) for shift in (near or found.shifts)[:TOLD]]
    if len(near) > TOLD:
        told.append(f"{_counted(len(near) - TOLD, 'more share')} would do as much.")
    if found.unseen:
        told.append(f"{_counted(found.unseen, 'share')} left out: too much hangs together.")
    return told


def _summary(found: Stability, near: Sequence[Shift]) -> str:
    """How far off the nearest share is, in one sentence."""
    if near:
        return (
            "One share of the book off by half or double is enough to put"
            f" {_who(found.is_first)} first."
        )
    if not found.shifts:
        times = f"{FURTHEST:.0f} times too high or too low"
        return f"No share of the book alone, its odds {times}, puts {_who(found.is_first)} first."
    stays = "It stays first" if found.is_first else "It does not come first"
    return f"{stays} if the odds of any one cause in the book are halved or doubled."


def _share(book: Book, shift: Shift) -> str:
    share, said = shares_in_words(shift.share, shift.book_share)
    side = "more" if shift.factor > 1.0 else "fewer"
    return (
        f"If {share} of such decks or {side} had '{book.causes[shift.cause].says}' (the book says"
        f" {said}), {_named(book, shift.first, shift.cause, 'it')} would come first."
    )


def _steps(at: Situation, next_step: NextStep | None, causes: Sequence[str]) -> list[str]:
    """Whether the next step hangs on the shares that matter most."""
    if next_step is None:
        return []
    if next_step.by in ("intake", "walk"):
        return [f"The next step belongs to the {next_step.by}, whatever the shares are."]
    found = new_steps(at, causes, next_step)
    if not found:
        return [
            f"The next step stays, too, with the odds of any of the {len(causes)} causes that"
            " matter most halved or doubled."
        ]
    told = [_step(at.book, new) for new in found[:TOLD]]
    if len(found) > TOLD:
        told.append(f"{_counted(len(found) - TOLD, 'more share')} would change the next step.")
    return told


def _step(book: Book, new: NewStep) -> str:
    share, said = shares_in_words(new.share, new.book_share)
    step = f"'{step_says(book, new.step.kind, new.step.id)}'" if new.step else "nothing more"
    return (
        f"If {share} of such decks had '{book.causes[new.cause].says}' (the book says {said}),"
        f" the next step would be {step}."
    )


def shares_in_words(*shares: float) -> tuple[str, ...]:
    """Percentages with as many digits as it takes to tell them apart, two at least."""
    said: tuple[str, ...] = ()
    for digits in (2, 3, 4):
        said = tuple(_percent(share, digits) for share in shares)
        if len(set(said)) == len(shares):
            break
    return said


def _percent(share: float, digits: int) -> str:
    percent = 100 * share
    return f"{percent:.{digits}g} %" if percent < 10 else f"{percent:.{digits - 2}f} %"


def _who(is_first: bool) -> str:
    return "another cause" if is_first else "it"


def _named(book: Book, cause: str, meant: str, short: str) -> str:
    """A cause by its words, or by the short word if it is the one that is meant anyway."""
    return short if cause == meant else f"'{book.causes[cause].says}'"


def _counted(number: int, thing: str) -> str:
    return f"{number} {thing}{'s' if number > 1 else ''}"
