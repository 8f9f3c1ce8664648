"""Each doubt is found in a book made for it, and not in a sound one."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diag.linting.doubts import FINDINGS, doubts
from diag.model.advice import Thumb
from diag.model.book import Book
from diag.model.cause import Cause, Sign
from diag.model.check import Answer, Check
from diag.model.figures import Prior, Probability, Years
from diag.model.layer import Layer
from diag.model.remedy import Remedy
from diag.model.rule import Conclusion, Condition, Group, Rule
from diag.model.symptom import Symptom, WalkStep


def sound_book() -> Book:
    """A book without a doubt."""
    sign = Sign(id="dead", says="it is dead", leak=0.01)
    cause = Cause(
        id="worn",
        says="Worn",
        prior=Prior(((Years(0.0), Probability(0.1)),)),
        shows={"dead": 0.9},
        mended_by=("renew",),
    )
    look = Check(
        id="look",
        ask="Is it dead?",
        at="outside",
        minutes=1,
        answers={"yes": Answer(id="yes", present=("dead",)), "no": Answer(id="no")},
    )
    return Book(
        family="tape",
        says="Machines",
        layers={
            "outside": Layer(id="outside"),
            "lid": Layer(id="lid", under="outside", open_minutes=1, close_minutes=1),
        },
        signs={"dead": sign},
        causes={"worn": cause},
        checks={"look": look},
        remedies={"renew": Remedy(id="renew", says="Renew", minutes=5, at="lid", cures=0.9)},
        symptoms={"dead_deck": Symptom(id="dead_deck", says="Dead", signs=("dead",), walk="w")},
        walks={"w": WalkStep(check="look")},
        final_test=("look",),
    )


def test_sound_book_has_no_doubt() -> None:
    """Nothing is found where nothing is doubtful."""
    assert doubts(sound_book()) == ()


def spoilt(code: str) -> Book:
    """A book with the one doubt of this code."""
    book = sound_book()
    cause, look, renew = book.causes["worn"], book.checks["look"], book.remedies["renew"]
    sign = book.signs["dead"]
    twice = WalkStep(check="look", then={"yes": WalkStep(check="look")})
    asked = Rule(id="r", when=Group(all=(Condition(fact="hz"),)), then=(Conclusion(caution="c"),))
    changes = {
        "B01": {"causes": {"worn": replace(cause, mended_by=())}, "remedies": {}},
        "B02": {
            "causes": {"worn": replace(cause, shows={"hot": 0.9})},
            "signs": {"dead": sign, "hot": replace(sign, id="hot")},
        },
        "B03": {"signs": {"dead": sign, "hot": replace(sign, id="hot")}},
        "B04": {"causes": {}, "remedies": {}},
        "B05": {
            "checks": {
                "look": look,
                "idle": replace(look, id="idle", answers={"a": Answer(id="a")}),
            }
        },
        "B06": {"remedies": {"renew": renew, "other": replace(renew, id="other")}},
        "B07": {"checks": {"look": replace(look, live=True, at="lid")}},
        "B08": {"thumbs": {"t": Thumb(id="t", says="A rule", source="from_memory")}},
        "B09": {"symptoms": {"s": Symptom(id="s", says="S", signs=("dead",))}},
        "B10": {"checks": {"look": replace(look, at="lid")}},
        "B11": {"walks": {"w": twice}},
        "B12": {"final_test": ()},
        "B13": {"rules": {"r": asked}},
    }
    return replace(book, **changes[code])


@pytest.mark.parametrize("number", range(1, len(FINDINGS) + 1))
def test_each_doubt_is_found(number: int) -> None:
    """Every finding has a book in which it, and only what comes with it, is told."""
    code = f"B{number:02}"
    assert code in {doubt.code for doubt in doubts(spoilt(code))}
