"""A user's own folder is laid over the book: it replaces, adds, and never spoils."""

from __future__ import annotations

from pathlib import Path

import pytest
from book_folder import BookFolder

from diag.errors import BenchtrailError, KnowledgeError
from diag.model.book import Book
from diag.reading.book import read_book, read_usable_book
from diag.reading.location import families, strays

MINE = """\
remedies:
  clean_idler: {says: Grind the tyre, minutes: 20, at: transport, cures: 0.8}
  turn_belt: {says: Turn the belt, minutes: 5, at: lid, cures: 0.3}
causes:
  belt_inside_out:
    says: belt inside out
    prior: 0.05
    shows: {speed_low: 0.4}
    mended_by: [turn_belt]
"""


class Additions:
    """A small book and a folder of additions beside it."""

    def __init__(self, folder: BookFolder) -> None:
        self.book_folder = folder
        self.root = folder.root / "mine"
        self.put("tape/belts/my.yaml", MINE)

    def put(self, name: str, text: str) -> None:
        """Write a file of additions."""
        path = self.root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")

    def read(self, family: str = "tape") -> Book:
        """The book with the additions."""
        return read_book(self.book_folder.root, family, self.root)


@pytest.fixture
def additions(folder: BookFolder) -> Additions:
    """Additions without a problem."""
    return Additions(folder)


def test_additions_replace_and_add(additions: Additions) -> None:
    """The same id replaces, a new one adds; all else is as it was."""
    plain, book = additions.book_folder.read(), additions.read()
    assert book.remedies["clean_idler"].says == "Grind the tyre"
    assert set(book.remedies) - set(plain.remedies) == {"turn_belt"}
    assert set(book.causes) - set(plain.causes) == {"belt_inside_out"}
    assert book.checks == plain.checks
    assert book.digest != plain.digest


def test_origin_tells_an_addition(additions: Additions) -> None:
    """Each entry says whether it is one, and the book what it stands for."""
    book = additions.read()
    mine = book.remedies["clean_idler"]
    assert str(mine.origin) == "additions/tape/belts/my.yaml:2"
    assert mine.origin.is_addition
    assert not book.causes["idler_glazed"].origin.is_addition
    assert {k: str(at) for k, at in book.replaced.items()} == {
        ("remedies", "clean_idler"): "tape/reels/idler.yaml:35"
    }
    assert not additions.book_folder.read().replaced


def test_lists_of_additions_replace_those_of_the_book(additions: Additions) -> None:
    """family.yaml is optional; of its keys the lists count."""
    assert additions.read().final_test == ("hubs_in_play",)
    additions.put("tape/family.yaml", "final_test: [speed_error]\nintake: [hubs_in_play]\n")
    book = additions.read()
    assert (book.final_test, book.intake) == (("speed_error",), ("hubs_in_play",))


def test_additions_may_retire_an_entry(additions: Additions) -> None:
    """Old cases find the new one; what names the old one is told."""
    additions.put("tape/old.yaml", "checks: {speed_error: {replaced_by: hubs_in_play}}")
    with pytest.raises(KnowledgeError, match="It was replaced by 'hubs_in_play'"):
        additions.read()
    additions.put("tape/walk.yaml", "walks: {spills: {check: hubs_in_play}}")
    assert additions.read().retired == {"checks": {"speed_error": "hubs_in_play"}}


def test_additions_bring_their_sources(additions: Additions) -> None:
    """A list of sources may stand beside the families or in one."""
    additions.put("tape/thumb.yaml", "thumbs: {t: {says: so, source: my_notes}}")
    additions.put("sources.yaml", "sources: {my_notes: {title: My notes}}")
    assert additions.read().sources["my_notes"].title == "My notes"
    assert additions.read().sources["my_notes"].origin.is_addition


def test_family_of_its_own_may_take_over_the_shipped_one(additions: Additions) -> None:
    """It is listed with the others; additions to the other come along."""
    additions.put("wire/family.yaml", "family: wire\nsays: Wire\ntakes_from: [tape]\n")
    assert families(additions.book_folder.root, additions.root) == ("tape", "wire")
    book = additions.read("wire")
    assert book.family == "wire"
    assert book.remedies["clean_idler"].says == "Grind the tyre"
    assert "idler_glazed" in book.causes


def test_family_that_takes_over_has_the_additions_to_the_other(additions: Additions) -> None:
    """What is mended in one book is mended in all that share it."""
    (additions.book_folder.root / "reel").mkdir()
    (additions.book_folder.root / "reel" / "family.yaml").write_text(
        "family: reel\nsays: Reel\ntakes_from: [{family: tape, leaves_out: [belts]}]\n"
    )
    book = additions.read("reel")
    assert "belt_inside_out" not in book.causes, "folders of additions are left out alike"


@pytest.mark.parametrize(
    ("name", "text", "found"),
    [
        (
            "tape/bad.yaml",
            "\nremedies: {x: {says: y, minutes: 1, at: lidd, cures: 1}}",
            "additions/tape/bad.yaml:2: 'lidd' is not in layers. Did you mean 'lid'?",
        ),
        ("tape/bad.yaml", "causes: {a: {says: x", "this is not YAML"),
        ("tape/bad.yaml", MINE, "stands in remedies already, at additions/tape/bad.yaml:2"),
        ("tape/family.yaml", "takes_from: [tape]", "'takes_from' of a family that has a book"),
        ("tape/family.yaml", "family: other", "additions/tape/family.yaml:1: 'family' of a family"),
        ("tape/sources.yaml", "sources: {a: {titel: x}}", "additions/tape/sources.yaml:1: unknown"),
    ],
)
def test_problem_of_additions_leaves_the_book_usable(
    additions: Additions, name: str, text: str, found: str
) -> None:
    """It is told with file and line, and the book is read without the additions."""
    additions.put(name, text)
    with pytest.raises(KnowledgeError) as caught:
        additions.read()
    assert any(found in str(problem) for problem in caught.value.problems)
    root = additions.book_folder.root
    book, left_out = read_usable_book(root, "tape", additions.root)
    assert left_out == caught.value.problems
    assert book == additions.book_folder.read()


def test_book_that_is_spoilt_itself_is_told_so(additions: Additions) -> None:
    """Leaving the additions out does not help."""
    additions.book_folder.spoil("reels/idler.yaml", "cures: 0.6", "curse: 0.6")
    additions.put("tape/bad.yaml", "causes: {")
    with pytest.raises(KnowledgeError) as caught:
        read_usable_book(additions.book_folder.root, "tape", additions.root)
    assert not any("additions" in p.path for p in caught.value.problems)


def test_good_additions_leave_nothing_out(additions: Additions) -> None:
    """Nothing is told of them."""
    book, left_out = read_usable_book(additions.book_folder.root, "tape", additions.root)
    assert not left_out
    assert "turn_belt" in book.remedies


def test_folder_without_a_family_is_told(additions: Additions) -> None:
    """A slip in its name would leave it unread in silence."""
    additions.put("tpae/x.yaml", "signs: {}")
    root = additions.book_folder.root
    assert [str(p) for p in strays(root, additions.root)] == [
        "additions/tpae:1: there is no family 'tpae' to add this to. Did you mean 'tape'?"
    ]


def test_unknown_family_names_the_nearest_of_both(additions: Additions, tmp_path: Path) -> None:
    """Families among the additions are known, too."""
    additions.put("wire/family.yaml", "family: wire\nsays: Wire\ntakes_from: [tape]\n")
    with pytest.raises(BenchtrailError, match="Did you mean 'wire'"):
        additions.read("wirre")


PLUG = """\
signs: {plug_wobbles: {says: the plug wobbles, leak: 0.01}}
causes:
  plug_loose: {says: Plug loose, prior: 0.1, shows: {plug_wobbles: 0.9}, mended_by: [fit_plug]}
checks:
  plug_look: {ask: Loose?, at: lid, minutes: 1, answers: {yes: {present: [plug_wobbles]}, no: {}}}
remedies:
  fit_plug: {says: Fit it, at: lid, minutes: 1, cures: 1}
"""


def test_change_of_an_entry_that_another_family_leaves_out_stays_out_there(
    additions: Additions,
) -> None:
    """Wherever the user's file lies; what is new in it comes over."""
    shipped = additions.book_folder
    (shipped.folder / "plugs").mkdir()
    shipped.put("plugs/plug.yaml", PLUG)
    (shipped.root / "reel").mkdir()
    (shipped.root / "reel" / "family.yaml").write_text(
        "family: reel\nsays: Reels\ntakes_from: [{family: tape, leaves_out: [plugs]}]\n"
    )
    cause = PLUG[PLUG.index("causes:") : PLUG.index("checks:")]
    additions.put("tape/changed.yaml", cause.replace("0.1", "0.2"))
    assert additions.read().causes["plug_loose"].prior.at(40) == 0.2
    assert "plug_loose" not in additions.read("reel").causes
    assert "belt_inside_out" in additions.read("reel").causes
