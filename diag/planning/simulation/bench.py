"""The bench of a simulation: a deck that answers by its truth, and the minutes that go by."""

from __future__ import annotations

from diag.errors import ImpossibleEvidence
from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.history import Given, History, Mended, Opened, Step
from diag.model.trait import fits
from diag.planning.access import round_trip
from diag.planning.next_step import NextStep
from diag.planning.simulation.drawn_deck import DrawnDeck, shows
from diag.planning.situation import Situation

CANT_TELL = 0.08
"""Share of checks whose answer the restorer can't tell."""


class Bench:
    """One deck being worked on, true to a book; the tool may believe another.

    Attributes:
        minutes: time spent so far, the closing of what is open included.
        steps: checks and remedies so far.
        wasted: remedies that had nothing to mend.
    """

    def __init__(
        self,
        book: Book,
        drawn: DrawnDeck,
        cant_tell: float = CANT_TELL,
        believed: Book | None = None,
    ) -> None:
        self.minutes = 0.0
        self.steps = 0
        self.wasted = 0
        self._book = book
        self._believed = believed or book
        self._drawn = drawn
        self._cant_tell = cant_tell
        self._there: dict[str, int] = dict.fromkeys(drawn.causes, 0)
        self._come: dict[str, int] = dict.fromkeys(drawn.causes, 1)
        self._done: dict[str, int] = {}
        self._open: tuple[str, ...] = ()
        self._opened: dict[str, int] = {}
        self._aside: frozenset[str] = frozenset()
        self._history: list[Step] = []

    @property
    def faults(self) -> frozenset[str]:
        """The causes that are there now."""
        return frozenset(self._there)

    @property
    def open_layers(self) -> tuple[str, ...]:
        """The layers that are open now."""
        return self._open

    def close(self) -> None:
        """Close up; the minutes were paid at the opening."""
        self._open = ()

    def situation(self) -> Situation:
        """What the tool knows of it, as the engine works it out.

        Answers that can't be brought together count as fairly sure only, as on a real bench.
        """
        history = History(self._drawn.symptoms, tuple(self._history))
        try:
            return self._situation(history)
        except ImpossibleEvidence:
            return self._situation(history.doubted())

    def take(self, step: NextStep) -> None:
        """Do a step: close up for the final test, open what is in the way, look or mend."""
        self.steps += 1
        if step.by == "final test":
            self.close()
        entry = (self._book.checks if step.kind == "check" else self._book.remedies)[step.id]
        self.open_to(entry.at)
        self.minutes += entry.minutes
        if step.kind == "check":
            self._ask(step)
        else:
            self.mend(step.id)

    def open_to(self, layer: str) -> None:
        """Open a layer and those above it; its closing is paid at once, since it is owed."""
        for name in self._book.ways[layer]:
            if name in self._open:
                continue
            self._open = (*self._open, name)
            self._opened[name] = self._opened.get(name, 0) + 1
            self.minutes += round_trip(self._book, name)
            self._history.append(Opened(name, len(self._history) + 1))
            for cause, chance in self._book.layers[name].upsets.items():
                if self._upset(cause, chance, name):
                    self._there[cause] = self._come.get(cause, 0)
                    self._come[cause] = self._there[cause] + 1

    def mend(self, remedy: str) -> None:
        """Carry out a remedy; its minutes are counted by `take`."""
        self._done[remedy] = self._done.get(remedy, 0) + 1
        found = [cause for cause in self._book.mends[remedy] if cause in self._there]
        self.wasted += not found
        cures = self._book.remedies[remedy].cures
        for cause in found:
            if self._drawn.chance.happens(cures, "cures", remedy, self._done[remedy], cause):
                del self._there[cause]
        self._history.append(Mended(remedy, len(self._history) + 1))

    def _upset(self, cause: str, chance: float, layer: str) -> bool:
        """Whether this opening brings a cause about that the deck can have and hasn't."""
        can = fits(self._book.causes[cause].where, self._drawn.deck.traits)
        luck = self._drawn.chance.happens(chance, "upsets", layer, self._opened[layer], cause)
        return can and luck and cause not in self._there

    def _ask(self, step: NextStep) -> None:
        """Answer by the truth. At the final test one tries until one can tell."""
        cant = self._drawn.chance.happens(self._cant_tell, "tells", step.id)
        if cant and step.by != "final test":
            self._aside |= {step.id}
            return
        check = self._book.checks[step.id]
        truth = {s: shows(self._book, self._drawn, self._there, s) for s in check.signs}
        answer = next(
            name
            for name, said in check.evidence.items()
            if all(truth[sign] is there for sign, there in said.items())
        )
        self._aside -= {step.id}
        self._history.append(Given(step.id, answer, event=len(self._history) + 1))

    def _situation(self, history: History) -> Situation:
        net = network(self._believed, self._drawn.deck, history, self._drawn.raised)
        return Situation(
            book=self._believed,
            deck=self._drawn.deck,
            history=history,
            network=net,
            now=solve(net),
            open_layers=self._open,
            put_aside=self._aside,
            done=frozenset(self._done),
        )
