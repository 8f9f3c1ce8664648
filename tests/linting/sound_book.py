"""A small book without a doubt, to be spoilt one way at a time."""

from __future__ import annotations

from diag.model.book import Book
from diag.model.cause import Cause, Sign
from diag.model.check import Answer, Check
from diag.model.figures import Prior, Probability, Years
from diag.model.layer import Layer
from diag.model.remedy import Remedy
from diag.model.symptom import Symptom, WalkStep

STATED = {"": "from memory"}
"""A basis for all figures of an entry."""


def sign(name: str, leak: float = 0.01) -> Sign:
    """A sign."""
    return Sign(id=name, says=f"it is {name}", leak=leak, basis=STATED)


def cause(name: str, shows: dict[str, float], mended_by: str = "renew", **more: object) -> Cause:
    """A cause with a prior of 0.1."""
    prior = Prior(((Years(0.0), Probability(0.1)),))
    told = {"prior": prior, "shows": shows, "mended_by": (mended_by,), "basis": STATED} | more
    return Cause(id=name, says=name, **told)


def check(name: str, sign: str, **more: object) -> Check:
    """A check that asks for one sign, from outside in a minute."""
    answers = {"yes": Answer(id="yes", present=(sign,)), "no": Answer(id="no")}
    told = {"at": "outside", "minutes": 1, "answers": answers, "basis": STATED} | more
    return Check(id=name, ask=f"{name}?", **told)


def remedy(name: str, **more: object) -> Remedy:
    """A remedy below the lid."""
    told = {"minutes": 5, "at": "lid", "cures": 0.9, "basis": STATED} | more
    return Remedy(id=name, says=name, **told)


def sound_book() -> Book:
    """One cause, its sign, the check for it, its remedy, and a symptom with a walk."""
    return Book(
        family="tape",
        says="Machines",
        layers={
            "outside": Layer(id="outside"),
            "lid": Layer(id="lid", under="outside", open_minutes=1, close_minutes=1, basis=STATED),
        },
        signs={"dead": sign("dead")},
        causes={"worn": cause("worn", {"dead": 0.9})},
        checks={"look": check("look", "dead")},
        remedies={"renew": remedy("renew")},
        symptoms={"dead_deck": Symptom(id="dead_deck", says="Dead", signs=("dead",), walk="w")},
        walks={"w": WalkStep(check="look", why="It is quick.")},
        final_test=("look",),
    )
