"""A file may say once where its figures come from; an entry's own words come first."""

from __future__ import annotations

import pytest
from book_folder import IDLER, BookFolder
from jsonschema import Draft202012Validator
from test_schema import as_json

from diag.reading.schema import json_schema

STATED = "basis: {prior: repair logs, shows: judgement, leak: bench notes, cures: from memory}\n"


def test_basis_of_the_file_is_that_of_its_entries(folder: BookFolder) -> None:
    """Each entry has the words for the figures that it gives, and no others."""
    folder.put("reels/idler.yaml", STATED + IDLER)
    book = folder.read()
    assert book.causes["idler_glazed"].basis == {"prior": "repair logs", "shows": "judgement"}
    assert book.remedies["clean_idler"].basis == {"cures": "from memory"}
    assert book.signs["reels_dead"].basis == {"leak": "bench notes"}
    assert book.checks["hubs_in_play"].basis == {}
    assert book.layers["transport"].basis == {}, "another file says nothing"


def test_basis_may_stand_below_the_entries(folder: BookFolder) -> None:
    """Its place in the file does not matter."""
    folder.put("reels/idler.yaml", IDLER + STATED)
    assert folder.read().causes["idler_glazed"].basis["prior"] == "repair logs"


def test_own_basis_of_a_figure_wins(folder: BookFolder) -> None:
    """A figure with words of its own keeps them; its neighbours are filled in."""
    folder.put("reels/idler.yaml", STATED + IDLER)
    folder.spoil(
        "reels/idler.yaml", "says: Idler tyre glazed", "says: Glazed\n    basis: {prior: counted}"
    )
    book = folder.read()
    assert book.signs["takeup_dead"].basis == {"leak": "judgement"}
    assert book.causes["idler_glazed"].basis == {"prior": "counted", "shows": "judgement"}


def test_basis_of_one_link_stands_beside_that_of_the_file(folder: BookFolder) -> None:
    """Words for one sign of `shows` are kept; the file's are for the others."""
    folder.put("reels/idler.yaml", STATED + IDLER)
    folder.spoil(
        "reels/idler.yaml", "takeup_dead: 0.7", "takeup_dead: {value: 0.7, basis: counted}"
    )
    basis = folder.read().causes["idler_glazed"].basis
    assert basis["shows.takeup_dead"] == "counted"
    assert basis["shows"] == "judgement"


def test_basis_of_a_whole_entry_leaves_nothing_to_fill_in(folder: BookFolder) -> None:
    """Words for the entry are words for every figure of it."""
    folder.put("reels/idler.yaml", STATED + IDLER)
    folder.spoil(
        "reels/idler.yaml", "says: Idler tyre glazed", "says: Glazed\n    basis: my own count"
    )
    assert folder.read().causes["idler_glazed"].basis == {"": "my own count"}


@pytest.mark.parametrize(
    ("basis", "found"),
    [
        ("basis: {piror: x}\n", "'piror' is no kind of figure. Did you mean 'prior'?"),
        ("basis: {says: x}\n", "'says' is no kind of figure."),
        ("basis: judgement\n", "kinds of figures are wanted; found 'judgement'"),
        ("basis: {prior: [x]}\n", "basis.prior: words are wanted here; found a list"),
    ],
)
def test_bad_basis_is_told(folder: BookFolder, basis: str, found: str) -> None:
    """An unknown kind names the nearest; the schema refuses it, too."""
    folder.put("reels/idler.yaml", basis + IDLER)
    (problem,) = folder.problems()
    assert found in str(problem)
    assert problem.line == 1
    assert list(Draft202012Validator(json_schema()).iter_errors(as_json(basis + IDLER)))


def test_stated_basis_fits_the_schema() -> None:
    """What the reader takes, the schema takes."""
    assert not list(Draft202012Validator(json_schema()).iter_errors(as_json(STATED + IDLER)))
