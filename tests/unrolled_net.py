"""A history of several epochs as one network of the reference library.

Nothing is shared with the engine: each cause, each link's firing and each sign has a node of its
own in every epoch, tied to the epoch before by an explicit table. An epoch begins with a remedy or
an opening. What fired stays fired while its cause lasts, a cause brought about fires anew, and a
leak is one node for all epochs. Signs are noisy-OR nodes (the net form, whose leak is its own)
over what fired, with weights of one and no leak.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import log
from typing import Any

from reference_engines import pyagrum_library

from diag.model.book import Book
from diag.model.history import Given, History, Mended, Opened

TOLD = [0.1, 0.9]
SAID = {
    ("certain", True): [0.0, 1.0],
    ("certain", False): [1.0, 0.0],
    ("fairly", True): [0.2, 0.8],
    ("fairly", False): [0.8, 0.2],
}


@dataclass(frozen=True)
class Unrolled:
    """The answer of the reference library."""

    causes: dict[str, float]
    log_evidence: float


@dataclass
class _Net:
    """A network that grows by one epoch at a time."""

    book: Book
    bayes_net: Any = field(default_factory=lambda: pyagrum_library().BayesNet())

    def node(self, name: str, parents: list[str], table: dict[tuple[int, ...], float]) -> str:
        """Add a yes-or-no node; `table` has its chance for each state of its parents."""
        self.bayes_net.add(pyagrum_library().LabelizedVariable(name, "", 2))
        for parent in parents:
            self.bayes_net.addArc(parent, name)
        for state, chance in table.items():
            self.bayes_net.cpt(name)[dict(zip(parents, state, strict=True))] = [1 - chance, chance]
        return name

    def start(self) -> None:
        """The deck as it came: causes, what they fired, leaks and signs."""
        for sign in self.book.signs.values():
            self.node(f"leak {sign.id}", [], {(): sign.leak})
        for cause in self.book.causes.values():
            there = self.node(f"{cause.id} 0", [], {(): cause.prior.at(0)})
            for sign_id, chance in cause.shows.items():
                self.node(_fired(cause.id, sign_id, 0), [there], {(0,): 0.0, (1,): chance})
        self.signs(0)

    def go_on(self, epoch: int, touch: Mended | Opened) -> None:
        """The deck after a remedy or an opening."""
        for cause in self.book.causes.values():
            before, after = f"{cause.id} {epoch - 1}", f"{cause.id} {epoch}"
            ends, begins = self.changes(cause.id, touch)
            self.node(after, [before], {(0,): begins, (1,): 1 - ends})
            for sign_id, chance in cause.shows.items():
                fired = _fired(cause.id, sign_id, epoch - 1)
                table = {(was, now, did): 0.0 for was in (0, 1) for now in (0, 1) for did in (0, 1)}
                table[1, 1, 1] = 1.0
                table[0, 1, 0] = table[0, 1, 1] = chance
                self.node(_fired(cause.id, sign_id, epoch), [before, after, fired], table)
        self.signs(epoch)

    def changes(self, cause: str, touch: Mended | Opened) -> tuple[float, float]:
        """Chance that a touch ends a cause that is there, and that it begins one that is not."""
        if isinstance(touch, Mended):
            return self.book.remedies[touch.remedy].cures * (
                cause in self.book.mends[touch.remedy]
            ), 0.0
        upsets = {
            str(name): chance for name, chance in self.book.layers[touch.layer].upsets.items()
        }
        return 0.0, upsets.get(cause, 0.0)

    def signs(self, epoch: int) -> None:
        """Each sign as it shows in an epoch."""
        library = pyagrum_library()
        for sign in self.book.signs:
            name = f"{sign} {epoch}"
            self.bayes_net.addNoisyORNet(library.LabelizedVariable(name, "", 2), 0.0)
            fired = [_fired(cause, sign, epoch) for cause in self.book.causes_of[sign]]
            for parent in (f"leak {sign}", *fired):
                self.bayes_net.addWeightedArc(parent, name, 1.0)


def _fired(cause: str, sign: str, epoch: int) -> str:
    return f"{cause} fires {sign} {epoch}"


def unrolled(book: Book, history: History) -> Unrolled:
    """The posterior at the end of a history, and the evidence, from the unrolled network.

    Every answer must be new, as they are all taken as they stand. The history begins with an
    answer, and a complaint may only be of a sign that is not asked for before the first touch.
    """
    net = _Net(book)
    net.start()
    epoch = 0
    evidence = {f"{book.symptoms[told].signs[0]} 0": TOLD for told in history.symptoms}
    for step in history.steps:
        if isinstance(step, Given):
            ((sign, there),) = book.checks[step.check].evidence[step.answer].items()
            evidence[f"{sign} {epoch}"] = SAID[step.sure, there]
        else:
            epoch += 1
            net.go_on(epoch, step)
    engine = pyagrum_library().LazyPropagation(net.bayes_net)
    engine.setEvidence(evidence)
    engine.setTargets({f"{cause} {epoch}" for cause in book.causes})
    engine.makeInference()
    return Unrolled(
        {cause: float(engine.posterior(f"{cause} {epoch}")[1]) for cause in book.causes},
        log(engine.evidenceProbability()),
    )
