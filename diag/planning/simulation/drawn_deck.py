"""A deck drawn from the book: its traits, its hidden faults, and what its owner tells."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from diag.errors import SimulationError
from diag.inference.network import network
from diag.model.book import Book
from diag.model.figures import SignId
from diag.model.history import History
from diag.model.trait import Deck, Trait
from diag.planning.simulation.chance import Chance
from diag.rules.rulebook import Rulebook

AGES_YEARS = (20.0, 55.0)
"""Decks that come to a bench; ages are drawn evenly between these."""
COMPLAINTS = 2
"""Symptoms that an owner tells at most."""
TRIES = 10_000
"""Draws before it is given up that the book has such a deck."""
STRANGE_SIGNS = (2, 4)
"""Fewest and most signs that a fault shows which the book doesn't know."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """Which decks are drawn.

    Attributes:
        faults: fewest and most faults at once.
        symptom: one that every owner tells, or none in particular.
        strange: share of decks that have one fault besides which the book doesn't know.
    """

    faults: tuple[int, int] = (1, 99)
    symptom: str | None = None
    strange: float = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnDeck:
    """A deck with its truth.

    Attributes:
        deck: its age and all its traits.
        chance: its luck.
        raised: factors of the rules on prior odds.
        causes: the faults that it came with.
        strange: signs that a fault shows which the book doesn't know; nothing mends it.
        symptoms: what the owner tells.
        observed: signs that are known to be there or not as the deck comes in; the others are left
            to its luck.
    """

    deck: Deck
    chance: Chance
    raised: Mapping[str, float]
    causes: frozenset[str]
    strange: frozenset[str]
    symptoms: tuple[str, ...]
    observed: Mapping[str, bool] = field(default_factory=dict)

    def has(self, book: Book, sign: str) -> bool:
        """Whether the deck shows a sign as it comes to the bench."""
        return shows(book, self, dict.fromkeys(self.causes, 0), sign)


def draw_deck(book: Book, rulebook: Rulebook, seed: int, number: int, kind: Kind) -> DrawnDeck:
    """Draw a deck that an owner has a complaint of.

    Faults, links and leaks are drawn by the figures of the book; decks that don't have the wanted
    number of faults or the wanted symptom, or that give no ground for any complaint, are drawn
    anew.

    Raises:
        SimulationError: the book gives no such deck in `TRIES` draws.
    """
    for attempt in range(TRIES):
        drawn = _try(book, rulebook, Chance(f"{seed}/{number}/{attempt}"), kind)
        if drawn is not None:
            return drawn
    low, high = kind.faults
    shows_up = f"the symptom '{kind.symptom}'" if kind.symptom else "a complaint"
    raise SimulationError(
        f"the book '{book.family}' gave no deck with {low} to {high} faults and {shows_up} in"
        f" {TRIES} draws.",
        do="Ask for another symptom or number of faults.",
    )


def shows(book: Book, drawn: DrawnDeck, times: Mapping[str, int], sign: str) -> bool:
    """Whether a deck shows a sign while it has these causes, each the so many-th time.

    What a cause fired stays fired for as long as it lasts, and a leak for good.
    """
    return (
        sign in drawn.strange
        or _leaks(book, drawn, sign)
        or any(
            _fires(book, drawn, cause, time, sign)
            for cause, time in times.items()
            if sign in book.causes[cause].shows
        )
    )


def _leaks(book: Book, drawn: DrawnDeck, sign: str) -> bool:
    """Whether a sign is there without any cause; an observed one that no fault shows is."""
    if sign in drawn.observed:
        is_shown = any(sign in book.causes[cause].shows for cause in drawn.causes)
        return drawn.observed[sign] and not is_shown
    return drawn.chance.happens(book.signs[sign].leak, "leaks", sign)


def _fires(book: Book, drawn: DrawnDeck, cause: str, time: int, sign: str) -> bool:
    """Whether a cause brings a sign about; a fault that the deck came with does as observed."""
    if time == 0 and cause in drawn.causes and sign in drawn.observed:
        return drawn.observed[sign]
    return drawn.chance.happens(book.causes[cause].shows[SignId(sign)], "fires", cause, time, sign)


def _try(book: Book, rulebook: Rulebook, chance: Chance, kind: Kind) -> DrawnDeck | None:
    low, high = AGES_YEARS
    deck = Deck(
        age_years=round(low + (high - low) * chance.number("age")),
        traits={t.id: _value(t, chance) for t in book.traits.values()},
    )
    raised = rulebook.conclude(deck, History()).raised
    prior = network(book, deck, History(), raised).start
    causes = frozenset(c for c, p in prior.items() if chance.happens(p, "has", c))
    if not kind.faults[0] <= len(causes) <= kind.faults[1]:
        return None
    drawn = DrawnDeck(
        deck=deck,
        chance=chance,
        raised=raised,
        causes=causes,
        strange=_strange(book, chance, kind.strange),
        symptoms=(),
    )
    told = _told(book, drawn, kind.symptom)
    return replace(drawn, symptoms=told) if told else None


def _value(trait: Trait, chance: Chance) -> str:
    """A value of a trait by its shares, or any where the book gives none."""
    shares = {str(v): trait.shares.get(v, 0.0) for v in trait.one_of}
    if not trait.shares:
        shares = dict.fromkeys(shares, 1.0)
    left = chance.number("trait", trait.id) * sum(shares.values())
    for value, share in shares.items():
        left -= share
        if left < 0:
            return value
    return next(reversed(shares))


def _strange(book: Book, chance: Chance, share: float) -> frozenset[str]:
    """Signs of an unknown fault: some of what two faults of the book show, mixed."""
    if not chance.happens(share, "strange"):
        return frozenset()
    low, high = STRANGE_SIGNS
    count = low + int(chance.number("strange signs") * (high - low + 1))
    two = chance.shuffled(list(book.causes.values()), "strange like")[:2]
    mixed = list(dict.fromkeys(sign for cause in two for sign in cause.shows))
    return frozenset(chance.shuffled(mixed, "strange shows")[:count])


def _told(book: Book, drawn: DrawnDeck, wanted: str | None) -> tuple[str, ...]:
    """What the owner tells: only symptoms of which at least one sign is there."""
    true = [
        symptom.id
        for symptom in book.symptoms.values()
        if any(drawn.has(book, sign) for sign in symptom.signs)
    ]
    told = drawn.chance.shuffled(true, "tells")
    if wanted is not None:
        told = [wanted, *(s for s in told if s != wanted)] if wanted in true else []
    count = 1 + int(drawn.chance.number("complaints") * COMPLAINTS)
    return tuple(told[:count])
