"""A trait of one value is known of every machine of the family, and nobody is asked for it."""

from __future__ import annotations

import pytest
from book_folder import BookFolder

from diag.inference.network import network
from diag.model.book import Book
from diag.model.history import History
from diag.model.trait import Deck
from diag.reading.book import read_book
from diag.rules.facts import CaseFact, facts_of
from diag.rules.rulebook import Rulebook
from screens.cli.ask_intake import _questions
from screens.intake_rows import rows

MEDIUM = """\
causes:
  pad_gone: {says: pad gone, prior: 0.1, where: {medium: [shell]}, shows: {speed_low: 0.5}}
  reel_loose: {says: reel loose, prior: 0.1, where: {medium: [reel]}, shows: {speed_low: 0.5}}
rules:
  - id: by_the_pad
    when: {trait: medium, is: shell}
    then: [{cite: idler_first}]
"""
ASK = "{ask: What holds the tape?, one_of: [%s]}"


@pytest.fixture
def books(folder: BookFolder) -> tuple[Book, Book]:
    """A family of one medium, and another that takes it over with a medium of its own."""
    traits = f"  medium: {ASK % 'shell, reel'}\n"
    shared = folder.root / "shared"
    folder.folder.rename(shared)
    head = shared / "family.yaml"
    head.write_text(head.read_text().replace("traits:\n", "traits:\n" + traits))
    (shared / "medium.yaml").write_text(MEDIUM)
    for family in ("shell", "reel"):
        (folder.root / family).mkdir()
        (folder.root / family / "family.yaml").write_text(
            f"family: {family}\nsays: Of this test\ntakes_from: [shared]\n"
            f"traits: {{medium: {ASK % family}}}\n"
        )
    return read_book(folder.root, "shell"), read_book(folder.root, "reel")


def test_cause_of_another_value_is_not_in_the_family(books: tuple[Book, Book]) -> None:
    """A shared cause holds or fails by family, in the book and in the network."""
    for book, there in zip(books, ("pad_gone", "reel_loose"), strict=True):
        assert {"pad_gone", "reel_loose"} & set(book.causes) == {there}
        assert there in network(book, Deck(), History(), {}).start


def test_cause_of_the_given_value_keeps_its_prior(books: tuple[Book, Book]) -> None:
    """The trait is known, so that nothing is taken off for a deck of another kind."""
    net = network(books[0], Deck(age_years=40), History(), {})
    assert net.start["pad_gone"] == pytest.approx(0.1)


def test_rule_has_the_value_as_a_fact(books: tuple[Book, Book]) -> None:
    """What hangs on it follows from nothing that was told; elsewhere the rule is not there."""
    shell, reel = books
    assert facts_of(shell, Deck(), History()) == (CaseFact("trait", "medium", "shell", "deck"),)
    assert Rulebook(shell).conclude(Deck(), History()).thumbs.keys() == {"idler_first"}
    assert "by_the_pad" not in reel.rules


def test_nobody_is_asked_for_it(books: tuple[Book, Book]) -> None:
    """Neither on the screen nor by prompts; traits of several values are."""
    for book in books:
        assert [row.key for row in rows(book, ()) if row.id.startswith("trait ")] == [
            "drive",
            "mains_motor",
        ]
        assert [q.id for q in _questions(book)] == ["age_years", "drive", "mains_motor"]
