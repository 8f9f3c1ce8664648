"""Causes that no check tells apart; check values worked out by hand from links and leaks."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sound_book import cause, check, remedy, sign, sound_book

from diag.linting.alike import causes_alike
from diag.model.book import Book
from diag.model.cause import Cause
from diag.model.check import Answer, Check
from diag.model.trait import Trait

DRIVE = Trait(id="drive", ask="What?", one_of=("belt", "idler", "direct"))


def book_of(*causes: Cause, checks: tuple[Check, ...] = (), signs: tuple[str, ...] = ()) -> Book:
    """The sound book with these causes, each with a remedy of its own if it names one."""
    book = sound_book()
    named = {name: remedy(name) for c in causes for name in c.mended_by}
    return replace(
        book,
        traits={"drive": DRIVE},
        signs={"dead": sign("dead"), **{name: sign(name) for name in signs}},
        causes={c.id: c for c in causes},
        checks={**book.checks, **{c.id: c for c in checks}},
        remedies=named,
    )


def told(book: Book) -> list[str]:
    """What is said of each group."""
    return [found.words for found in causes_alike(book)]


@pytest.mark.parametrize(
    ("link", "found"),
    # With a leak of 0.01 the answers differ by 0.99 times the difference of the links.
    [(0.69, False), (0.71, True), (0.9, True)],
)
def test_pair_is_alike_below_a_fifth(link: float, found: bool) -> None:
    """Links of 0.9 and 0.71 differ in 0.188 of decks, of 0.9 and 0.69 in 0.208."""
    book = book_of(cause("worn", {"dead": 0.9}), cause("torn", {"dead": link}, "mend"))
    assert bool(told(book)) is found


def test_common_remedy_makes_it_harmless() -> None:
    """Whichever it is, the same work is done."""
    assert not told(book_of(cause("worn", {"dead": 0.9}), cause("torn", {"dead": 0.9})))


def test_causes_of_different_decks_are_told_by_the_deck() -> None:
    """No deck is driven by belt and idler; a deck whose drive fits both may have either."""
    worn = cause("worn", {"dead": 0.9}, where={"drive": ("belt", "direct")})
    torn = cause("torn", {"dead": 0.9}, "mend", where={"drive": ("idler",)})
    assert not told(book_of(worn, torn))
    assert told(book_of(worn, replace(torn, where={"drive": ("idler", "direct")})))


def test_check_for_other_decks_tells_nothing() -> None:
    """A sign that only direct drives are asked for parts no two causes of belt drives."""
    worn = cause("worn", {"dead": 0.9, "hot": 0.9}, where={"drive": ("belt",)})
    torn = cause("torn", {"dead": 0.9}, "mend")
    feel = check("feel", "hot")
    elsewhere = replace(feel, where={"drive": ("direct",)})
    assert not told(book_of(worn, torn, checks=(feel,), signs=("hot",)))
    assert told(book_of(worn, torn, checks=(elsewhere,), signs=("hot",)))


def test_check_of_two_signs_tells_by_their_combination() -> None:
    """Each sign by itself parts 0.149 of the decks: 0.9901 against 0.8416.

    Both at once part more: 'both' has 0.9803 against 0.7083.
    """
    worn = cause("worn", {"dead": 0.99, "hot": 0.99})
    torn = cause("torn", {"dead": 0.84, "hot": 0.84}, "mend")
    both = check(
        "both",
        "dead",
        answers={
            "not_dead": Answer(id="not_dead", absent=("dead",)),
            "both": Answer(id="both", present=("dead", "hot")),
            "dead": Answer(id="dead", present=("dead",)),
        },
    )
    assert told(book_of(worn, torn, checks=(check("feel", "hot"),), signs=("hot",)))
    assert not told(book_of(worn, torn, checks=(both,), signs=("hot",)))


def test_three_alike_are_one_finding() -> None:
    """The first names the other two."""
    more = [cause(name, {"dead": 0.9}, f"mend_{name}") for name in ("worn", "torn", "bent")]
    (words,) = told(book_of(*more))
    assert words.startswith("worn: no check tells it from torn and bent.")


def test_every_pair_stands_in_a_group() -> None:
    """The middle one is like both ends, and the ends are not alike."""
    links = {"low": 0.6, "middle": 0.75, "high": 0.9}
    book = book_of(*(cause(name, {"dead": p}, f"mend_{name}") for name, p in links.items()))
    assert [words.split(".")[0] for words in told(book)] == [
        "low: no check tells it from middle",
        "middle: no check tells it from high",
    ]


def test_sign_that_would_tell_is_named() -> None:
    """The one on which the two differ most."""
    worn = cause("worn", {"dead": 0.9, "hot": 0.8, "loud": 0.5})
    torn = cause("torn", {"dead": 0.9}, "mend")
    (words,) = told(book_of(worn, torn, signs=("hot", "loud")))
    assert "A check for hot would tell: its chance is 0.01 to 0.8." in words


def test_sign_that_is_asked_of_other_decks_only_would_tell() -> None:
    """What the check asks is right; it does not ask it of these decks."""
    worn = cause("worn", {"dead": 0.9, "hot": 0.8}, where={"drive": ("belt",)})
    torn = cause("torn", {"dead": 0.9}, "mend")
    elsewhere = check("feel", "hot", where={"drive": ("direct",)})
    (words,) = told(book_of(worn, torn, checks=(elsewhere,), signs=("hot",)))
    assert "A check for hot would tell" in words


def test_pair_that_shows_alike_needs_a_sign_of_its_own() -> None:
    """No sign would tell."""
    (words,) = told(book_of(cause("worn", {"dead": 0.9}), cause("torn", {"dead": 0.9}, "mend")))
    assert words.endswith("They show alike: give one a sign of its own, and a look for it.")
