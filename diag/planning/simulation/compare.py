"""Policies compared on the same decks, on every core."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass
from multiprocessing import get_context
from os import cpu_count

from diag.model.book import Book
from diag.planning.simulation.bench import CANT_TELL
from diag.planning.simulation.calibration import Stated, stated_after_intake
from diag.planning.simulation.chance import Chance
from diag.planning.simulation.drawn_deck import DrawnDeck, Kind, draw_deck
from diag.planning.simulation.misjudged import misjudged
from diag.planning.simulation.run import Run, run
from diag.rules.rulebook import Rulebook

CLAIRVOYANT = "clairvoyant"

Progress = Callable[[int, int], None]
"""Told how many decks are done, and of how many."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """What is tried: so many decks of a kind by these policies, from this seed.

    `cant_tell` is the share of checks that the restorer can't tell; `misjudged` the standard
    deviation, on log-odds, by which every figure that the policies go by is off.
    """

    decks: int
    seed: int
    policies: tuple[str, ...]
    kind: Kind = Kind()
    cant_tell: float = CANT_TELL
    misjudged: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """One deck: how it went under each policy, and what was stated of its causes.

    `is_strange` marks a deck with a fault that the book doesn't know.
    """

    number: int
    faults: int
    is_strange: bool
    runs: Mapping[str, Run]
    stated: tuple[Stated, ...]


def compare(
    book: Book, trial: Trial, progress: Progress | None = None, jobs: int | None = None
) -> tuple[Tried, ...]:
    """Try every policy on every deck; the clairvoyant always, as the measure of the others.

    Args:
        book: the book that decks are drawn from and worked on by.
        trial: what is tried. Equal trials give equal results, whatever `jobs` is.
        progress: told after every deck.
        jobs: processes; all cores by default.

    Raises:
        SimulationError: the book gives no such deck.
    """
    found = []
    for tried in _tried(book, trial, jobs or cpu_count() or 1):
        found.append(tried)
        if progress:
            progress(len(found), trial.decks)
    return tuple(sorted(found, key=lambda t: t.number))


def _tried(book: Book, trial: Trial, jobs: int) -> Iterator[Tried]:
    numbers: Sequence[int] = range(trial.decks)
    if jobs == 1 or trial.decks < 2:
        work = _Work(book, trial)
        yield from map(work.deck, numbers)
        return
    # A fresh process has no threads of the caller in the middle of something.
    context = get_context("spawn")
    with ProcessPoolExecutor(jobs, context, initializer=_begin, initargs=(book, trial)) as pool:
        waiting = [pool.submit(_one, number) for number in numbers]
        try:
            for done in as_completed(waiting):
                yield done.result()
        finally:
            pool.shutdown(cancel_futures=True)


class _Work:
    """What one process needs for all its decks."""

    def __init__(self, book: Book, trial: Trial) -> None:
        self._book = book
        self._trial = trial
        self._rulebook = Rulebook(book)
        errors = Chance(f"{trial.seed}/errors")
        self._believed = misjudged(book, trial.misjudged, errors)

    def deck(self, number: int) -> Tried:
        """Draw a deck and try every policy on it."""
        trial = self._trial
        drawn = draw_deck(self._book, self._rulebook, trial.seed, number, trial.kind)
        policies = dict.fromkeys((CLAIRVOYANT, *trial.policies))
        return Tried(
            number=number,
            faults=len(drawn.causes),
            is_strange=bool(drawn.strange),
            runs={name: self._run(drawn, name) for name in policies},
            stated=stated_after_intake(self._book, drawn, trial.cant_tell, self._believed),
        )

    def _run(self, drawn: DrawnDeck, policy: str) -> Run:
        return run(self._book, drawn, policy, self._trial.cant_tell, self._believed)


_here: list[_Work] = []


def _begin(book: Book, trial: Trial) -> None:
    """Prepare a process. Its one piece of state, since a pool hands a task nothing else."""
    _here[:] = [_Work(book, trial)]
    gc.freeze()  # the book stays as long as the process; no collection need go through it


def _one(number: int) -> Tried:
    return _here[0].deck(number)
