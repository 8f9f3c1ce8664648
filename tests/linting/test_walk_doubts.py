"""Ways of walks that end nowhere, deny what was said, or don't say why."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sound_book import cause, check, remedy, sign, sound_book

from diag.linting import walks
from diag.linting.walk_ends import walk_ends_nowhere
from diag.model.book import Book
from diag.model.figures import Prior, Probability, Years
from diag.model.symptom import Symptom, WalkStep


def book_of(walk: WalkStep, signs: tuple[str, ...] = ("dead",), hot_link: float = 0.9) -> Book:
    """The sound book with a second cause and its check, and a walk from a symptom."""
    book = sound_book()
    return replace(
        book,
        signs={**book.signs, "hot": sign("hot")},
        causes={**book.causes, "fuse": cause("fuse", {"dead": 0.1, "hot": hot_link}, "refuse")},
        checks={**book.checks, "feel": check("feel", "hot"), "again": check("again", "dead")},
        remedies={**book.remedies, "refuse": remedy("refuse")},
        symptoms={"s": Symptom(id="s", says="S", signs=signs, walk="w")},
        walks={"w": walk},
    )


def step(check: str, **then: WalkStep) -> WalkStep:
    """A step of a walk."""
    return WalkStep(check=check, why="It is quick.", then=then)


def ways(book: Book) -> list[str]:
    """The ways that point at nothing."""
    return [found.words.rsplit(":", 1)[0] for found in walk_ends_nowhere(book)]


def test_way_that_raises_a_cause_leads_somewhere() -> None:
    """Said to be dead: the worn part is likely. Not dead: there is no complaint to follow."""
    assert ways(book_of(step("look"))) == []


def test_last_check_that_nothing_answers_leads_nowhere() -> None:
    """A smell that no cause brings about says nothing, whether it is there or not."""
    book = book_of(step("look", no=step("sniff")), signs=("dead", "smell"))
    book = replace(
        book,
        signs={**book.signs, "smell": sign("smell")},
        checks={**book.checks, "sniff": check("sniff", "smell")},
    )
    assert ways(book) == ["w: look no, sniff"]
    ends_well = replace(book, walks={"w": step("sniff", no=step("look"), yes=step("look"))})
    assert ways(ends_well) == []


def test_last_check_that_finds_all_well_leads_somewhere() -> None:
    """One of its answers points at a cause; after the other the planner goes on."""
    assert ways(book_of(step("look", no=step("feel")), signs=("dead", "hot"))) == []


def test_prior_alone_points_at_nothing() -> None:
    """A cause that was likely before the walk and is no likelier after it is not pointed at."""
    book = book_of(step("feel"), signs=("dead", "hot"))
    common = cause("common", {"smoke": 0.9}, prior=Prior(((Years(0.0), Probability(0.6)),)))
    book = replace(book, signs={**book.signs, "smoke": sign("smoke")}, causes={"common": common})
    assert ways(book) == ["w: feel"]


@pytest.mark.parametrize(("leak", "points"), [(0.05, True), (0.3, False)])
def test_rare_cause_that_is_raised_tenfold_is_pointed_at(leak: float, points: bool) -> None:
    """A prior of 0.001 comes to 0.0009 / 0.051 = 0.018, or with the higher leak to 0.003."""
    prior = Prior(((Years(0.0), Probability(0.001)),))
    book = book_of(step("feel"), signs=("hot",))
    book = replace(
        book,
        signs={**book.signs, "hot": sign("hot", leak)},
        causes={"fuse": cause("fuse", {"hot": 0.9}, "refuse", prior=prior)},
    )
    assert (ways(book) == []) is points


def test_answer_that_no_deck_gives_is_left_out() -> None:
    """A sign that nothing can bring about is B04, not a dead end."""
    book = book_of(step("sniff"), signs=("dead",))
    book = replace(
        book,
        signs={**book.signs, "smell": sign("smell", leak=0.0)},
        checks={**book.checks, "sniff": check("sniff", "smell")},
        causes={"fuse": cause("fuse", {"hot": 0.9}, "refuse")},
    )
    assert ways(book) == ["w: sniff"]
    deeper = {"w": step("sniff", yes=step("feel"))}
    assert ways(replace(book, walks=deeper)) == []


def test_way_on_from_an_answer_that_denies_an_earlier_one_is_told_once() -> None:
    """Asked for the same sign again, 'no' after 'yes' would make neither count."""
    book = book_of(step("look", yes=step("again", no=step("feel"))))
    (found,) = walks.contradicts(book)
    assert found.words == "w: again no contradicts what was said above of dead."
    shared = step("again", no=step("sniff"))
    book = book_of(step("feel", yes=step("look", yes=shared), no=step("look", yes=shared)))
    assert len([*walks.contradicts(book)]) == 1


def test_denial_on_which_nothing_follows_is_no_doubt() -> None:
    """Whoever gives it has changed their mind; the walk does not count on it."""
    assert [*walks.contradicts(book_of(step("look", yes=step("again"))))] == []


def test_other_signs_deny_nothing() -> None:
    """A walk that asks for another sign each time is in order."""
    assert not [*walks.contradicts(book_of(step("look", yes=step("feel"), no=step("feel"))))]


def test_step_says_why() -> None:
    """Any step without is told, the first one included."""
    bare = WalkStep(check="look", then={"yes": step("feel"), "no": WalkStep(check="again")})
    words = [found.words for found in walks.step_without_why(book_of(bare))]
    assert words == ["w: look comes without a why.", "w: again comes without a why."]
