"""A deck's network: causes with their courses, signs, and the evidence on them.

Signs are absent exactly when their leak didn't fire and no present cause fired its link. What
fired stays fired for as long as its cause lasts, and a leak for good.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import takewhile
from math import log
from typing import NamedTuple

from diag.inference.evidence import Contradiction, Piece, Ref, block_at, gather, known
from diag.inference.implied import implied
from diag.inference.life import Life, Touch, lives
from diag.inference.outset import Outset, outset
from diag.model.book import Book
from diag.model.figures import Probability, SignId
from diag.model.history import History, Mended, Opened, Step
from diag.model.layer import Layer
from diag.model.trait import Deck

Spot = tuple[str, int]
"""A sign in a block of time."""


class Link(NamedTuple):
    """A cause's link to a sign during one of its times, and the evidence that it reaches.

    `spots` are what it sets together if it fires.
    """

    sign: str
    chance: float
    spots: tuple[Spot, ...]
    is_now: bool


class Course(NamedTuple):
    """One course of a cause: its probability before the evidence, and its links to evidence."""

    weight: float
    is_now: bool
    links: tuple[Link, ...]


@dataclass(frozen=True)
class Network:
    """Everything that inference needs of a book, a deck and a history.

    Attributes:
        outset: what the deck can have at all.
        start: probability of each cause when the deck came to the bench, before any evidence.
        touches: what was done to causes, in order.
        cuts: for each sign, the rising steps at which something that can show it was touched.
        pieces: the evidence.
        contradictions: certain answers that contradict one another and therefore don't count.
    """

    outset: Outset
    start: Mapping[str, float]
    touches: Mapping[str, tuple[Touch, ...]]
    cuts: Mapping[str, list[int]]
    pieces: tuple[Piece, ...]
    contradictions: tuple[Contradiction, ...]

    @cached_property
    def shows(self) -> Mapping[str, Mapping[SignId, Probability]]:
        """For each cause, the chance that it brings each of its signs about."""
        return self.outset.shows

    @cached_property
    def shown_by(self) -> Mapping[str, tuple[str, ...]]:
        """For each sign, the causes that can show it."""
        return self.outset.shown_by

    @cached_property
    def leaks(self) -> Mapping[str, float]:
        """The leak of every sign of the book."""
        return self.outset.leaks

    @cached_property
    def refs(self) -> tuple[Ref, ...]:
        """The answers and symptoms that the evidence comes from, in order."""
        return tuple(dict.fromkeys(piece.ref for piece in self.pieces))

    def with_pieces(self, pieces: tuple[Piece, ...]) -> Network:
        """The same deck with this evidence instead."""
        return replace(self, pieces=pieces)

    def without(self, ref: Ref) -> Network:
        """The same deck without this answer or complaint."""
        return self.with_pieces(tuple(piece for piece in self.pieces if piece.ref != ref))

    def now(self, sign: str) -> int:
        """The present block of a sign."""
        return len(self.cuts.get(sign, ()))

    @cached_property
    def pairs(self) -> Mapping[Spot, tuple[float, float]]:
        """Likelihoods (if absent, if present) of what was said of each spot, but the implied."""
        if not self.implied:
            return self._said
        return {spot: pair for spot, pair in self._said.items() if spot not in self.implied}

    @cached_property
    def implied(self) -> Mapping[Spot, float]:
        """Spots whose state other spots settle, and the likelihood of what was said of them."""
        found: dict[Spot, float] = {}
        if not self.cuts:
            return found
        signs: dict[str, dict[int, tuple[float, float]]] = {}
        for (sign, block), pair in self._said.items():
            signs.setdefault(sign, {})[block] = pair
        for sign, pairs in signs.items():
            if len(pairs) > 1:
                settled = implied(pairs, self._risen(sign))
                found |= {(sign, block): likelihood for block, likelihood in settled.items()}
        return found

    @cached_property
    def log_implied(self) -> float:
        """Natural logarithm of the likelihood of all that is implied."""
        return sum(map(log, self.implied.values()))

    def _risen(self, sign: str) -> list[int]:
        """The first block after each step that may have brought a cause of a sign about."""
        steps = {
            touch.step
            for cause in self.shown_by[sign]
            for touch in self.touches.get(cause, ())
            if touch.kind == "upsets"
        }
        return sorted(block_at(self.cuts, sign, step) for step in steps)

    @cached_property
    def _said(self) -> dict[Spot, tuple[float, float]]:
        pairs: dict[Spot, tuple[float, float]] = {}
        for piece in self.pieces:
            at = (piece.sign, piece.block)
            absent, present = pairs.get(at, (1.0, 1.0))
            pairs[at] = (absent * piece.pair[0], present * piece.pair[1])
        return pairs

    @cached_property
    def spoken(self) -> Mapping[str, tuple[Spot, ...]]:
        """For each sign that was spoken of, its spots with evidence that is not implied."""
        found: dict[str, tuple[Spot, ...]] = {}
        for spot in self.pairs:
            found[spot[0]] = (*found.get(spot[0], ()), spot)
        return found

    def courses_of(self, cause: str) -> tuple[Course, ...]:
        """Every course of one cause that the evidence can tell apart.

        Absent and present in this order if nothing touched it.
        """
        shows: Mapping[str, float] = self.shows[cause]  # type: ignore[assignment]
        spots = [spot for sign, here in self.spoken.items() if sign in shows for spot in here]
        if cause in self.touches:
            return self._touched(cause, self.touches[cause], spots)
        prior = self.start[cause]
        return Course(1 - prior, False, ()), Course(prior, True, self.links(cause, spots, True))

    def links(self, cause: str, spots: list[Spot], is_now: bool) -> tuple[Link, ...]:
        """A cause's links to these spots, those of one sign together."""
        shows: Mapping[str, float] = self.shows[cause]  # type: ignore[assignment]
        together: dict[str, list[Spot]] = {}
        for spot in spots:
            together.setdefault(spot[0], []).append(spot)
        return tuple(
            Link(sign, shows[sign], tuple(here), is_now) for sign, here in together.items()
        )

    def _touched(
        self, cause: str, touches: tuple[Touch, ...], spots: list[Spot]
    ) -> tuple[Course, ...]:
        """The courses of a cause that something touched."""
        stretch = {spot: _stretch(touches, self.cuts, spot) for spot in spots}
        found = []
        for life in lives(self.start[cause], touches, frozenset(stretch.values())):
            links: list[Link] = []
            for lasted, is_now in _times(life):
                here = [spot for spot in spots if stretch[spot] in lasted]
                links += self.links(cause, here, is_now)
            found.append(Course(life.weight, life.now is not None, tuple(links)))
        return tuple(found)


def network(
    book: Book,
    deck: Deck,
    history: History,
    raised: Mapping[str, float] | None = None,
    like: Network | None = None,
) -> Network:
    """The network of a deck on the bench.

    `raised` gives factors on the prior odds of causes. What doesn't depend on the history is taken
    from the network `like`, if that is of the same deck.

    Raises:
        UnknownId: the history names something that the book doesn't have.
    """
    factors = raised or {}
    if like is not None and like.outset.is_of(book, deck, factors):
        begun = like.outset
    else:
        begun = outset(book, deck, factors)
    early = _opened_before_all(history)
    touches = _touches(begun, history.steps[len(early) :], len(early))
    cuts = _cuts(begun, touches)
    evidence = gather(book, history, cuts)
    return Network(
        outset=begun,
        start=_upset(begun.priors, [known(done.layer, book.layers, "layer") for done in early]),
        touches=touches,
        cuts=cuts,
        pieces=evidence.pieces,
        contradictions=evidence.contradictions,
    )


def _opened_before_all(history: History) -> tuple[Opened, ...]:
    """The openings before the first answer and the first remedy.

    Nothing was seen before them but what the owner tells, so that they belong to the prior.
    """
    leading = takewhile(lambda done: isinstance(done, Opened), history.steps)
    return tuple(done for done in leading if isinstance(done, Opened))


def _upset(priors: Mapping[str, float], layers: Sequence[Layer]) -> Mapping[str, float]:
    """The priors joined with what each of these openings may have brought about."""
    joined = dict(priors)
    for layer in layers:
        for cause, chance in layer.upsets.items():
            if cause in joined:
                joined[cause] = 1 - (1 - joined[cause]) * (1 - chance)
    return joined


def _touches(begun: Outset, steps: Sequence[Step], first: int) -> dict[str, tuple[Touch, ...]]:
    """For each cause that something touched, what did, in order; `first` numbers the first step."""
    book = begun.book
    found: dict[str, list[Touch]] = {}
    for step, done in enumerate(steps, start=first):
        if isinstance(done, Mended):
            remedy = known(done.remedy, book.remedies, "remedy")
            for cause in book.mends[remedy.id]:
                found.setdefault(cause, []).append(Touch(step, "mends", remedy.cures))
        elif isinstance(done, Opened):
            layer = known(done.layer, book.layers, "layer")
            for cause, chance in layer.upsets.items():
                found.setdefault(cause, []).append(Touch(step, "upsets", chance))
    return {cause: tuple(touches) for cause, touches in found.items() if cause in begun.priors}


def _cuts(begun: Outset, touches: Mapping[str, tuple[Touch, ...]]) -> dict[str, list[int]]:
    """For each sign, the rising steps at which something that can show it was touched."""
    found: dict[str, set[int]] = {}
    for cause, touched in touches.items():
        for sign in begun.shows[cause]:
            found.setdefault(sign, set()).update(touch.step for touch in touched)
    return {sign: sorted(steps) for sign, steps in found.items()}


def _stretch(touches: tuple[Touch, ...], cuts: Mapping[str, list[int]], spot: Spot) -> int:
    """The stretch between a cause's touches in which a block of one of its signs lies."""
    sign, block = spot
    return sum(block_at(cuts, sign, touch.step) <= block for touch in touches)


def _times(life: Life) -> list[tuple[tuple[int, ...], bool]]:
    now = [] if life.now is None else [(life.now, True)]
    return [*((lasted, False) for lasted in life.past), *now]
