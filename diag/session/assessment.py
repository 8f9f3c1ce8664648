"""What follows from a deck and its history: the pure heart of a session."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from diag.inference.evidence import Piece
from diag.inference.network import Network, network
from diag.inference.posterior import Posterior, solve
from diag.inference.weight import Conflict, conflict
from diag.model.book import Book
from diag.model.history import Given, History, Mended, Opened
from diag.model.trait import Deck
from diag.planning.before_closing import BeforeClosing, before_closing
from diag.planning.final_test import faulty_signs, is_well
from diag.planning.hazards import against_choosing
from diag.planning.next_step import NextStep
from diag.planning.outside import Unexplained, unexplained
from diag.planning.policy import has_hope, next_steps
from diag.planning.situation import Situation
from diag.planning.while_open import InHere, worth_while_open
from diag.rules.conclusions import Conclusions
from diag.rules.rulebook import Rulebook


@dataclass(frozen=True, slots=True)
class RankedCause:
    """A cause with its probability now and before the last answer.

    `bounds` is the interval that certainly holds the probability, where it could not be worked
    out exactly.
    """

    id: str
    says: str
    probability: float
    before: float
    bounds: tuple[float, float] | None = None

    @property
    def change(self) -> float:
        """How far the last answer moved it."""
        return self.probability - self.before


@dataclass(frozen=True, kw_only=True)
class Assessment:
    """Everything that was worked out for one state of a case.

    `ranking` holds every cause that the deck can have, most probable first; `steps` what to do
    next, best first; `is_well` whether the final test stands passed; `outside` the signs that the
    book probably can't account for, told once nothing more in it is worth its minutes; `situation`
    all that further advice depends on. Advice on open layers is worked out when it is first asked
    for.
    """

    ranking: tuple[RankedCause, ...]
    steps: tuple[NextStep, ...]
    conclusions: Conclusions
    conflict: Conflict
    log_evidence: float
    is_well: bool
    outside: tuple[Unexplained, ...]
    network: Network
    posterior: Posterior
    situation: Situation

    @cached_property
    def in_here(self) -> tuple[InHere, ...]:
        """What is worth doing at the open layers, best first."""
        return worth_while_open(self.situation)

    def against_choosing(self, kind: Literal["check", "remedy"], step: str) -> str:
        """Why a step that a person chose had better not be done now; empty if nothing is."""
        return against_choosing(self.situation, kind, step)

    def before_closing(self, layer: str) -> BeforeClosing:
        """What to look at and to do before a layer is closed, with those under it."""
        return before_closing(self.situation, layer, self.in_here)


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What a case has come to, as far as it is not history."""

    open_layers: tuple[str, ...] = ()
    put_aside: Collection[str] = ()
    done: Collection[str] = ()


def assess(
    book: Book,
    rulebook: Rulebook,
    deck: Deck,
    history: History,
    standing: Standing,
    last: Assessment | None = None,
) -> Assessment:
    """Work everything out; the `last` assessment saves some of it if this one follows upon it.

    Raises:
        ImpossibleEvidence: nothing that the book knows gives these answers together.
        UnknownId: the history names what the book does not have.
    """
    conclusions = rulebook.conclude(deck, history, standing.open_layers)
    net = network(book, deck, history, conclusions.raised, last.network if last else None)
    now = solve(net)
    before = _before(net, history, last)
    at = Situation(
        book,
        deck,
        history,
        net,
        now,
        standing.open_layers,
        frozenset(standing.put_aside),
        frozenset(standing.done),
    )
    steps, well = next_steps(at), is_well(book, deck, history)
    return Assessment(
        ranking=rank(book, now.causes, before, now.bounds),
        steps=steps,
        conclusions=conclusions,
        conflict=conflict(net, now, _alone(net, last)),
        log_evidence=now.log_evidence,
        is_well=well,
        outside=() if well else _outside(at, steps),
        network=net,
        posterior=now,
        situation=at,
    )


def _outside(at: Situation, steps: tuple[NextStep, ...]) -> tuple[Unexplained, ...]:
    """What the book doesn't account for, once nothing is worth its minutes.

    With no hope left in any step, that is every sign that the final test fails by, however likely
    it is that a known cause is behind it.
    """
    if any(step.is_worth_it for step in steps[:1]):
        return ()
    wrong = faulty_signs(at)
    if at.outside or not wrong or has_hope(at, steps):
        return at.outside
    every = unexplained(at.network, at.now, least=0.0)
    return tuple(found for found in every if found.sign in wrong)


def _alone(net: Network, last: Assessment | None) -> Mapping[tuple[Piece, ...], float]:
    """What the last assessment knows of single answers, if it was of causes in the same state."""
    if last is None or (last.network.start, last.network.touches) != (net.start, net.touches):
        return {}
    return last.conflict.alone


def standing_after(history: History) -> Standing:
    """Which layers are open and which remedies done, where only a history says so."""
    opened = [step.layer for step in history.steps if isinstance(step, Opened)]
    done = frozenset(step.remedy for step in history.steps if isinstance(step, Mended))
    return Standing(open_layers=tuple(dict.fromkeys(opened)), done=done)


def rank(
    book: Book,
    now: Mapping[str, float],
    before: Mapping[str, float],
    bounds: Mapping[str, tuple[float, float]] | None = None,
) -> tuple[RankedCause, ...]:
    """Causes, most probable first; equals in order of their ids."""
    within = bounds or {}
    return tuple(
        RankedCause(
            cause,
            book.causes[cause].says,
            now[cause],
            before.get(cause, now[cause]),
            within.get(cause),
        )
        for cause in sorted(now, key=lambda cause: (-now[cause], cause))
    )


def _before(net: Network, history: History, last: Assessment | None) -> Mapping[str, float]:
    """Probabilities without the last answer and all after it; today's rules hold for both."""
    answer = _last_answer(history)
    if answer is None:
        return {}
    earlier = History(history.symptoms, history.steps[:answer])
    begun = net.outset
    if last is not None and last.network.outset is begun:
        was = last.situation.history
        if was == earlier:
            return last.posterior.causes
        if _last_answer(was) == answer and History(was.symptoms, was.steps[:answer]) == earlier:
            return {ranked.id: ranked.before for ranked in last.ranking}
    return solve(network(begun.book, begun.deck, earlier, begun.raised, net)).causes


def _last_answer(history: History) -> int | None:
    """The place of the last answer among the steps."""
    steps = history.steps
    return next((n for n in reversed(range(len(steps))) if isinstance(steps[n], Given)), None)
