"""Doubts about steps that can hurt."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from diag.linting.doubt import Found, found_at
from diag.model.book import Book
from diag.model.check import Check
from diag.model.remedy import Remedy

_FIGURE = re.compile(r"\d")


def live_without_caution(book: Book) -> Iterator[Found]:
    """B07: powered work inside the deck with no caution before it.

    The cautions of the layers on its way count: a powered step repeats them.
    """
    for step in _live_inside(book):
        if not step.cautions and not _on_the_way(book, step):
            yield found_at(step, "the deck is powered and no caution stands before it.")


def live_without_danger(book: Book) -> Iterator[Found]:
    """B20: powered work where a layer on the way warns of a danger, and its own cautions don't.

    What a layer says is for opening it, unplugged; what is done there with power has dangers of
    its own.
    """
    for step in _live_inside(book):
        dangers = _dangers(book, _on_the_way(book, step))
        if dangers and not _dangers(book, step.cautions):
            told = f"its way warns of {', '.join(dangers)}, and it names no danger of its own."
            yield found_at(step, f"the deck is powered; {told}")


def live_only(book: Book) -> Iterator[Found]:
    """B18: a powered check inside the deck that names no `unpowered` check.

    Unless it says in `needs_power` why only a powered deck shows what is asked.
    """
    for check in book.checks.values():
        is_excused = check.unpowered or check.needs_power
        if check.live and check.at != book.outside and not is_excused:
            yield found_at(check, "it is powered, and names no way without power.")


def unpowered_is_live(book: Book) -> Iterator[Found]:
    """B19: what a check names as a way without power is powered itself."""
    for check in book.checks.values():
        for other in check.unpowered:
            if book.checks[other].live:
                yield found_at(check, f"its way without power, {other}, is powered.")


def danger_without_source(book: Book) -> Iterator[Found]:
    """B25: the text of a danger has a figure, and the entry has no `source`."""
    for caution in book.cautions.values():
        figures = _FIGURE.search(f"{caution.says} {caution.do}")
        if caution.severity == "danger" and figures and caution.source is None:
            yield found_at(caution, "a danger with a figure in it, and no source.")


def _live_inside(book: Book) -> Iterator[Check | Remedy]:
    steps: tuple[Check | Remedy, ...] = (*book.checks.values(), *book.remedies.values())
    return (step for step in steps if step.live and step.at != book.outside)


def _on_the_way(book: Book, step: Check | Remedy) -> list[str]:
    return [caution for layer in book.ways[step.at] for caution in book.layers[layer].cautions]


def _dangers(book: Book, cautions: Iterable[str]) -> list[str]:
    """Those that are dangers, each once."""
    named = dict.fromkeys(cautions)
    return [name for name in named if book.cautions[name].severity == "danger"]
