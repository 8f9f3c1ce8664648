"""The reference library, set up for a book: for tests and for the benchmark."""

from __future__ import annotations

import importlib
import warnings
from typing import Any

from diag.inference.network import Network
from diag.model.book import Book
from diag.model.figures import SignId


def pyagrum_library() -> Any:
    """The library; its wrapper warns while it loads, and dies of a warning turned into an error."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return importlib.import_module("pyagrum")


def pyagrum_net(book: Book) -> Any:
    """A book as that library's network, at age 0 with all causes."""
    library = pyagrum_library()
    net = library.BayesNet()
    for cause in book.causes.values():
        net.add(library.LabelizedVariable(cause.id, "", 2))
        net.cpt(cause.id).fillWith([1 - cause.prior.at(0), cause.prior.at(0)])
    for sign in book.signs.values():
        # Its other noisy-OR is the compound form, a different model of the leak.
        net.addNoisyORNet(library.LabelizedVariable(sign.id, "", 2), sign.leak)
        for cause_id in book.causes_of[sign.id]:
            chance = book.causes[cause_id].shows[SignId(sign.id)]
            net.addWeightedArc(cause_id, sign.id, chance)
    return net


def pyagrum_engine(net: Any, book: Book) -> Any:
    """A new engine that is asked for the causes only: with every node it runs out of memory."""
    engine = pyagrum_library().LazyPropagation(net)
    engine.setTargets(set(book.causes))
    return engine


def hard_evidence(said: Network) -> dict[str, int]:
    """Certain evidence as node states."""
    return {sign: int(pair[1]) for (sign, _), pair in said.pairs.items()}
