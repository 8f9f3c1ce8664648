"""The detail of one cause: why, what mends it, what looks like it."""

from __future__ import annotations

from diag.inference.weight import weights
from diag.model.book import Book
from diag.model.trait import Deck, fits
from diag.session.assessment import Assessment
from diag.session.snapshot import Alike, CauseDetail, Weighed
from diag.session.words import ref_in_words, weight_in_words

TYPICAL_ALIKE = 6
"""How many look-alikes are worth a person's time."""


def cause_detail(book: Book, deck: Deck, found: Assessment, cause: str) -> CauseDetail:
    """Everything that is known about one cause of a case.

    Args:
        book: the book.
        deck: the deck on the bench.
        found: the assessment of the case.
        cause: an id that stands in the ranking.
    """
    entry = book.causes[cause]
    weighed = sorted(
        (
            Weighed(ref_in_words(book, ref), decibans, weight_in_words(decibans))
            for ref, decibans in weights(found.network, cause, found.posterior).items()
        ),
        key=lambda w: -abs(w.decibans),
    )
    cited = [*entry.cites]
    for remedy in entry.mended_by:
        cited += book.remedies[remedy].cites
    thumbs = [book.thumbs[thumb] for thumb in dict.fromkeys(cited)]
    bounds = found.posterior.bounds or {}
    return CauseDetail(
        cause=entry,
        probability=found.posterior.causes[cause],
        bounds=bounds.get(cause),
        is_estimate=found.posterior.is_wide,
        prior=found.network.start[cause],
        weighed=tuple(weighed),
        remedies=tuple(
            book.remedies[remedy]
            for remedy in entry.mended_by
            if fits(book.remedies[remedy].where, deck.traits)
        ),
        thumbs=tuple((thumb, book.sources[thumb.source]) for thumb in thumbs),
        alike=_alike(book, found, cause),
        raised={
            fact: factor
            for fact, factor in entry.raised_by.items()
            if any(fact == told.id for told in found.conclusions.raised_why.get(cause, ()))
        },
    )


def _alike(book: Book, found: Assessment, cause: str) -> tuple[Alike, ...]:
    """Causes that the author names, then those that share the most of what this one shows."""
    entry, bounds = book.causes[cause], found.posterior.bounds or {}
    scored = []
    for other, probability in found.posterior.causes.items():
        if other == cause:
            continue
        shows = book.causes[other].shows
        shared = [sign for sign in entry.shows if sign in shows]
        overlap = sum(min(entry.shows[sign], shows[sign]) for sign in shared)
        named = other in entry.looks_like
        if shared or named:
            scored.append((named, overlap * probability, other, tuple(shared), probability))
    scored.sort(key=lambda s: (not s[0], -s[1], s[2]))
    return tuple(
        Alike(book.causes[other], shared, probability, bounds.get(other))
        for _, _, other, shared, probability in scored[:TYPICAL_ALIKE]
    )
