"""What names what in a book."""

from __future__ import annotations

from diag.model.book import Book
from diag.model.cause import Cause
from diag.model.figures import Prior
from diag.model.mentions import Ref, named_by, named_in
from diag.model.rule import Conclusion, Condition, Group, Rule
from diag.model.symptom import WalkStep


def test_every_kind_of_reference_is_found() -> None:
    """Keys of mappings, items of lists, steps within steps, conditions within groups."""
    cause = Cause(
        id="tight",
        says="Tight",
        prior=Prior(((0.0, 0.1),)),
        shows={"slow": 0.5},
        where={"drive": ("belt",)},
        mended_by=("new_belt",),
        looks_like=("hot",),
    )
    assert set(named_in(cause)) == {
        Ref("signs", "slow"),
        Ref("traits", "drive"),
        Ref("remedies", "new_belt"),
        Ref("causes", "hot"),
    }
    walk = WalkStep(check="a", then={"yes": WalkStep(check="b")})
    assert named_in(walk) == (Ref("checks", "a"), Ref("checks", "b"))
    when = Group(all=(Condition(check="a", equals="yes"), Group(any=(Condition(trait="drive"),))))
    rule = Rule(id="r", when=when, then=(Conclusion(cite="t"),))
    assert set(named_in(rule)) == {Ref("checks", "a"), Ref("traits", "drive"), Ref("thumbs", "t")}


def test_an_id_in_two_sections_is_told_apart() -> None:
    """A complaint and a walk of one name are two entries; the word alone says nothing."""
    walk = WalkStep(check="silent")
    book = Book(family="f", says="F", walks={"silent": walk})
    assert named_by(book) == {Ref("checks", "silent"): (Ref("walks", "silent"),)}
