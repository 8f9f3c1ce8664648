"""Small books with remedies and layers, and histories of several sittings, drawn for Hypothesis."""

from __future__ import annotations

from hypothesis import strategies as st
from oracles import answer, book_of

from diag.model.book import Book
from diag.model.history import Given, History, Mended, Opened

SIGNS = ("s0", "s1", "s2", "s3")
CAUSES = ("c0", "c1", "c2", "c3")
TOUCHES = (Mended("mend"), Mended("tune"), Opened("lid"), Opened("chassis"))
MOST_CAUSES = 3
"""Causes of one sign at most; the oracle goes through every firing of each."""

chances = st.one_of(st.floats(0.01, 0.99), st.sampled_from([1e-4, 0.5, 1.0]))
priors = st.sampled_from([0.2, 1e-4, 0.003, 0.05, 0.6, 1.0])
leaks = st.sampled_from([0.003, 0.1, 0.02, 0.0])
cures = st.one_of(st.floats(0.01, 0.99), st.sampled_from([0.0, 0.5, 0.95, 1.0]))
upsets = st.one_of(st.floats(1e-4, 0.5), st.sampled_from([0.0, 1.0]))
some_causes = st.lists(st.sampled_from(CAUSES), min_size=1, max_size=3, unique=True)


@st.composite
def repair_books(draw: st.DrawFn) -> Book:
    """A book of four causes; a remedy may mend, and a layer upset, up to three of them."""
    shows: dict[str, dict[str, float]] = {cause: {} for cause in CAUSES}
    for sign in SIGNS:
        shown_by = st.lists(st.sampled_from(CAUSES), min_size=1, max_size=MOST_CAUSES, unique=True)
        for cause in draw(shown_by):
            shows[cause][sign] = draw(chances)
    return book_of(
        shows=shows,
        priors={cause: draw(priors) for cause in CAUSES},
        leaks={sign: draw(leaks) for sign in SIGNS},
        remedies={name: (draw(cures), draw(some_causes)) for name in ("mend", "tune")},
        layers={
            name: {cause: draw(upsets) for cause in draw(some_causes)}
            for name in ("lid", "chassis")
        },
    )


@st.composite
def repaired_decks(draw: st.DrawFn, most_epochs: int = 4) -> tuple[Book, History]:
    """A book and a history of two epochs up to so many, of complaints and hard and soft answers.

    It may begin with a remedy or an opening before all answers. A sign is asked again only if one
    of its causes was touched since, so that no answer replaces an earlier one.
    """
    book = draw(repair_books())
    sure = st.sampled_from(["certain", "certain", "fairly"])
    steps: list[Given | Mended | Opened] = draw(st.lists(st.sampled_from(TOUCHES), max_size=1))
    fresh = set(SIGNS)
    for epoch in range(draw(st.integers(2, most_epochs))):
        if epoch:
            steps.append(draw(st.sampled_from(TOUCHES)))
            fresh |= _touched(book, steps[-1])
        for sign in draw(st.lists(st.sampled_from(SIGNS), min_size=1, unique=True)):
            if sign in fresh:
                steps.append(answer(sign, draw(st.booleans()), draw(sure)))
                fresh.remove(sign)
    told = draw(st.lists(st.sampled_from(SIGNS), max_size=2, unique=True))
    return book, History(tuple(f"told_{sign}" for sign in told), tuple(steps))


def _touched(book: Book, step: Given | Mended | Opened) -> set[str]:
    """The signs whose causes a remedy or an opening may change."""
    if isinstance(step, Mended):
        causes = set(book.mends[step.remedy])
    elif isinstance(step, Opened):
        causes = {str(cause) for cause in book.layers[step.layer].upsets}
    else:
        causes = set()
    return {str(sign) for cause in causes for sign in book.causes[cause].shows}
