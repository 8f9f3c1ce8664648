"""Doubts about steps that can hurt: found, and not found once mended."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest
from sound_book import check, remedy, sound_book

from diag.linting import safety
from diag.linting.doubt import Found
from diag.model.advice import Caution
from diag.model.book import Book

Find = Callable[[Book], Iterator[Found]]

CAUTIONS = {
    "mains": Caution(id="mains", says="Mains inside.", severity="danger"),
    "probe": Caution(id="probe", says="One hand.", severity="danger"),
    "edges": Caution(id="edges", says="Sharp edges.", severity="care"),
}


def book_of(layer: tuple[str, ...] = (), **more: object) -> Book:
    """The sound book with cautions of its lid, and a powered check below it."""
    book = sound_book()
    lid = replace(book.layers["lid"], cautions=layer)
    volts = check("volts", "dead", **({"at": "lid", "live": True} | more))
    return replace(
        book,
        cautions=CAUTIONS,
        layers={"outside": book.layers["outside"], "lid": lid},
        checks={**book.checks, "volts": volts},
    )


def ids(find: Find, book: Book) -> list[str]:
    """The entries that are doubted."""
    return [found.words.split(":")[0] for found in find(book)]


def test_powered_step_without_any_caution_is_told() -> None:
    """A caution of its own or of a layer on its way will do; unpowered or outside needs none."""
    assert ids(safety.live_without_caution, book_of()) == ["volts"]
    for mended in (
        book_of(cautions=("edges",)),
        book_of(("edges",)),
        book_of(live=False),
        book_of(at="outside"),
    ):
        assert ids(safety.live_without_caution, mended) == []


def test_powered_remedy_counts_as_well() -> None:
    """Remedies are asked, too."""
    book = replace(book_of(live=False), remedies={"set": remedy("set", live=True)})
    assert ids(safety.live_without_caution, book) == ["set"]


def test_powered_step_beside_a_danger_names_one_of_its_own() -> None:
    """A care is not enough; where no layer warns of a danger, nothing is told."""
    assert ids(safety.live_without_danger, book_of(("mains",))) == ["volts"]
    assert ids(safety.live_without_danger, book_of(("mains",), cautions=("edges",))) == ["volts"]
    assert ids(safety.live_without_danger, book_of(("mains",), cautions=("probe",))) == []
    assert ids(safety.live_without_danger, book_of(("edges",))) == []
    assert ids(safety.live_without_danger, book_of(("mains",), live=False)) == []


def test_powered_check_inside_names_a_way_without_power() -> None:
    """One outside needs none."""
    assert ids(safety.live_only, book_of()) == ["volts"]
    assert ids(safety.live_only, book_of(unpowered=("look",))) == []
    assert ids(safety.live_only, book_of(at="outside")) == []


def test_way_without_power_is_not_powered() -> None:
    """Naming a powered check, or itself, is no way out."""
    assert ids(safety.unpowered_is_live, book_of(unpowered=("volts",))) == ["volts"]
    assert ids(safety.unpowered_is_live, book_of(unpowered=("look",))) == []


@pytest.mark.parametrize(
    ("change", "found"),
    [
        ({"says": "Above 60 V it hurts."}, True),
        ({"do": "Measure below 2 V first."}, True),
        ({"do": "Unplug it."}, False),
        ({"says": "Above 60 V it hurts.", "source": "from_memory"}, False),
        ({"says": "Above 60 V it hurts.", "severity": "care"}, False),
    ],
)
def test_danger_with_a_figure_names_its_source(change: dict[str, object], found: bool) -> None:
    """Only a danger, and only where there is a figure."""
    danger = replace(Caution(id="mains", says="Mains.", severity="danger"), **change)
    book = replace(sound_book(), cautions={"mains": danger})
    assert bool(ids(safety.danger_without_source, book)) is found


def test_powered_check_says_its_way_without_power_or_why_there_is_none() -> None:
    """Either will do; neither is told."""
    assert ids(safety.live_only, book_of()) == ["volts"]
    assert ids(safety.live_only, book_of(unpowered=("look",))) == []
    assert ids(safety.live_only, book_of(needs_power="The rail is there only then.")) == []
