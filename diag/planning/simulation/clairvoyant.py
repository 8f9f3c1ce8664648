"""Somebody who knows the faults: what their repair costs when nothing is spent to find them."""

from __future__ import annotations

from itertools import product
from math import prod

from diag.model.book import Book
from diag.model.trait import fits
from diag.planning.access import round_trip
from diag.planning.final_test import final_checks
from diag.planning.simulation.bench import Bench
from diag.planning.simulation.drawn_deck import DrawnDeck

CHOICES = 4096
"""Combinations of remedies that are weighed against each other at once."""


def clairvoyant_minutes(book: Book, drawn: DrawnDeck, bench: Bench) -> float:
    """Minutes from where a bench is to a deck without faults that has passed its final test.

    He opens each layer once, tries a remedy until it holds, sees what an opening has brought about,
    closes up, and runs what of the final test no answer stands for. The bench is used up.
    """
    begin = bench.minutes
    while bench.faults:
        plan = _plan(book, drawn, bench)
        if not plan:
            break  # the book has no remedy for what is left
        for remedy in plan:
            entry = book.remedies[remedy]
            bench.open_to(entry.at)
            while any(cause in bench.faults for cause in book.mends[remedy]):
                bench.minutes += entry.minutes
                bench.mend(remedy)
    standing = bench.situation().answers.standing
    left = [c for c in final_checks(book, drawn.deck) if c not in standing]
    test = sum(book.checks[check].minutes for check in left)
    return bench.minutes - begin + test


def _plan(book: Book, drawn: DrawnDeck, bench: Bench) -> list[str]:
    """The remedies with the fewest expected minutes that mend all faults, outermost first."""
    choices = []
    for cause in sorted(bench.faults):
        fitting = [
            r
            for r in book.causes[cause].mended_by
            if fits(book.remedies[r].where, drawn.deck.traits)
        ]
        fitting.sort(key=lambda r: _price(book, bench, (r,)))
        if fitting:
            choices.append(fitting)
    while prod(map(len, choices)) > CHOICES:
        longest = max(range(len(choices)), key=lambda n: len(choices[n]))
        choices[longest] = choices[longest][:-1]
    if not choices:
        return []
    best = min(product(*choices), key=lambda plan: (_price(book, bench, plan), plan))
    return sorted(dict.fromkeys(best), key=lambda r: (len(book.ways[book.remedies[r].at]), r))


def _price(book: Book, bench: Bench, plan: tuple[str, ...]) -> float:
    """Expected minutes of these remedies, the layers that they need counted once."""
    entries = [book.remedies[remedy] for remedy in dict.fromkeys(plan)]
    layers = {layer for entry in entries for layer in book.ways[entry.at]} - {*bench.open_layers}
    return sum(entry.minutes / entry.cures for entry in entries) + sum(
        round_trip(book, layer) for layer in layers
    )
