"""How well a book does on worked cases: places of the true causes, and minutes to get there."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean, median

from diag.model.book import Book
from diag.model.history import Given, Mended
from diag.planning.simulation.chance import Chance
from diag.planning.simulation.drawn_deck import DrawnDeck
from diag.planning.simulation.led_to import minutes_led
from diag.reading.rank_file import RankCase
from diag.rules.rulebook import Rulebook
from diag.session.worked_cases import WorkedCase, places, read_case

FIVE = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Scored:
    """One case: the place of each true cause given all that was observed.

    `minutes` are those of a bench on which the tool leads from the complaint until all true causes
    are in sight; None where it ends before, or was not tried.
    """

    case: WorkedCase
    places: Mapping[str, int]
    minutes: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ScoreCard:
    """The figures over many cases.

    `first`, `first_three` and `first_five` are shares of cases whose worst-placed true cause stands
    there, one place later for each other true cause. `mean_place` is over all true causes.
    `several_in_five` is the share of true causes among the first five in cases of several; None if
    there is no such case. `found_share` and `median_minutes` are of the benches that the tool led;
    None if none was tried, or none got there.
    """

    cases: int
    first: float
    first_three: float
    first_five: float
    mean_place: float
    several: int
    several_in_five: float | None
    led: int
    found_share: float | None
    median_minutes: float | None


def scored(case: WorkedCase, book: Book, rulebook: Rulebook, *, led: bool) -> Scored:
    """Rank a case, and let the tool lead on such a deck if `led`.

    Raises:
        RankFileError: the book does not know something in it.
    """
    told = read_case(case, book)
    drawn = as_drawn(case, told, book, rulebook)
    return Scored(
        case=case,
        places=places(case, book, rulebook),
        minutes=minutes_led(book, drawn) if led else None,
    )


def as_drawn(case: WorkedCase, told: RankCase, book: Book, rulebook: Rulebook) -> DrawnDeck:
    """The deck of a case for a simulated bench.

    Its faults are the true ones. What was observed before the first repair is as observed; what
    nobody looked at is drawn by the figures of the book, with the luck that the case's name gives.
    """
    observed: dict[str, bool] = {}
    for step in told.history.steps:
        if isinstance(step, Mended):
            break
        if isinstance(step, Given) and step.sure == "certain":
            observed |= book.checks[step.check].evidence[step.answer]
    return DrawnDeck(
        deck=told.deck,
        chance=Chance(case.path.stem),
        raised=rulebook.conclude(told.deck, told.history).raised,
        causes=frozenset(case.truth),
        strange=frozenset(),
        symptoms=told.history.symptoms,
        observed=observed,
    )


def score_card(found: Sequence[Scored], *, led: bool) -> ScoreCard:
    """The figures of some cases, one at least."""
    # With several true causes one of them has to come second, and so on: that is no fault.
    worst = [max(s.places.values()) - len(s.places) + 1 for s in found]
    several = [place for s in found if len(s.places) > 1 for place in s.places.values()]
    minutes = [s.minutes for s in found if s.minutes is not None]
    return ScoreCard(
        cases=len(found),
        first=_share(worst, lambda place: place <= 1),
        first_three=_share(worst, lambda place: place <= 3),
        first_five=_share(worst, lambda place: place <= FIVE),
        mean_place=fmean(place for s in found for place in s.places.values()),
        several=sum(len(s.places) > 1 for s in found),
        several_in_five=_share(several, lambda place: place <= FIVE) if several else None,
        led=len(found) if led else 0,
        found_share=len(minutes) / len(found) if led else None,
        median_minutes=median(minutes) if minutes else None,
    )


def _share(values: Sequence[int], holds: Callable[[int], bool]) -> float:
    return fmean(holds(value) for value in values)
