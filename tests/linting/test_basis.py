"""Which figures say where they come from."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sound_book import STATED, cause, sound_book

from diag.linting.basis import figures_of, without_basis
from diag.model.advice import Thumb
from diag.model.book import Book
from diag.model.trait import Trait


def count(book: Book) -> tuple[int, int]:
    """Figures with a basis, and all."""
    stated = [figure.has_basis for figure in figures_of(book)]
    return sum(stated), len(stated)


def with_cause(basis: dict[str, str]) -> Book:
    """The sound book with a cause of one prior, two links and one factor."""
    shows = {"dead": 0.9, "hot": 0.5}
    worn = cause("worn", shows, raised_by={"damp": 2.0}, basis=basis)
    return replace(sound_book(), causes={"worn": worn})


def test_every_figure_counts_once() -> None:
    """Leak; prior and link; minutes; minutes and cures; open and close of the lid."""
    assert count(sound_book()) == (8, 8)


@pytest.mark.parametrize(
    ("basis", "stated", "missing"),
    [
        ({}, 0, "prior, shows, raised_by"),
        ({"prior": "from memory"}, 1, "shows, raised_by"),
        ({"shows.hot": "from memory"}, 1, "prior, shows, raised_by"),
        ({"shows": "from memory", "prior": "from memory"}, 3, "raised_by"),
        ({"says": "from memory"}, 0, "prior, shows, raised_by"),
    ],
)
def test_words_stand_for_a_figure_a_field_or_the_entry(
    basis: dict[str, str], stated: int, missing: str
) -> None:
    """Fields of which any figure has none are named."""
    book = with_cause(basis)
    assert count(book)[0] == 6 + stated
    assert [found.words for found in without_basis(book)] == [f"worn: no basis for {missing}."]


def test_words_for_the_entry_stand_for_all_of_it() -> None:
    """Nothing is missing."""
    book = with_cause(STATED)
    assert count(book) == (10, 10)
    assert not [*without_basis(book)]


def test_what_a_layer_upsets_counts_and_the_closed_deck_does_not() -> None:
    """Opening, closing and one upset cause."""
    book = sound_book()
    lid = replace(book.layers["lid"], upsets={"worn": 0.1}, basis={"upsets": "judgement"})
    book = replace(book, layers={"outside": book.layers["outside"], "lid": lid})
    assert count(book) == (7, 9)
    assert [found.words for found in without_basis(book)] == ["lid: no basis for open, close."]


def test_shares_of_a_trait_count() -> None:
    """How common a value is among decks is a figure, too; without shares there is none."""
    plain = Trait(id="drive", ask="What turns the capstan?", one_of=("belt", "idler"))
    shared = replace(plain, id="mains", shares={"belt": 0.7, "idler": 0.3})
    book = replace(sound_book(), traits={"drive": plain, "mains": shared})
    assert count(book) == (8, 10)
    assert [found.words for found in without_basis(book)] == ["mains: no basis for shares."]


def test_source_of_a_thumb_is_the_basis_of_its_figure() -> None:
    """A thumb without a figure counts for nothing."""
    plain = Thumb(id="plain", says="A rule", source="from_memory")
    thumbs = {"plain": plain, "figure": replace(plain, id="figure", figure=2.0)}
    assert count(replace(sound_book(), thumbs=thumbs)) == (9, 9)
