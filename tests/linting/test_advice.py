"""Doubts about rules of thumb: found, and not found once mended."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest
from sound_book import sound_book

from diag.linting.advice import thumb_without_range, thumb_without_unit
from diag.linting.doubt import Found
from diag.model.advice import Thumb
from diag.model.book import Book

THUMBS = (
    plain := Thumb(id="plain", says="A rule", source="from_memory"),
    replace(plain, id="bare", figure=0.0),
    replace(plain, id="unit", figure=2.0, unit="mm"),
    replace(plain, id="range", figure=2.0, range=(1.0, 3.0)),
    replace(plain, id="whole", figure=2.0, unit="mm", range=(1.0, 3.0)),
)


@pytest.mark.parametrize(
    ("find", "told"),
    [(thumb_without_unit, ["bare", "range"]), (thumb_without_range, ["bare", "unit"])],
    ids=["unit", "range"],
)
def test_figure_has_a_unit_and_a_range(
    find: Callable[[Book], Iterator[Found]], told: list[str]
) -> None:
    """A thumb without a figure needs neither; zero is a figure."""
    book = replace(sound_book(), thumbs={thumb.id: thumb for thumb in THUMBS})
    assert [found.words.split(":")[0] for found in find(book)] == told
