"""Each doubt is found in a book made for it, and not in a sound one."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sound_book import cause, check, remedy, sign, sound_book

from diag.linting.doubt import Finding
from diag.linting.doubts import FINDINGS, doubts
from diag.model.advice import Caution, Thumb
from diag.model.book import Book
from diag.model.check import Answer
from diag.model.figures import Origin
from diag.model.rule import Conclusion, Condition, Group, Rule
from diag.model.symptom import Symptom, WalkStep


def test_sound_book_has_no_doubt() -> None:
    """Nothing is found where nothing is doubtful."""
    assert doubts(sound_book()) == ()


def spoilt(code: str) -> Book:
    """A book with the one doubt of this code."""
    book = sound_book()
    worn, look, renew, dead = (
        book.causes["worn"],
        book.checks["look"],
        book.remedies["renew"],
        book.signs["dead"],
    )
    hot = sign("hot")
    why = "It is quick."
    look_on = WalkStep(check="look", why=why)
    twice = replace(look_on, then={"yes": look_on})
    denied = replace(look_on, then={"yes": replace(look_on, then={"no": look_on})})
    asked = Rule(id="r", when=Group(all=(Condition(fact="hz"),)), then=(Conclusion(caution="c"),))
    live = check("probe", "hot", at="lid", live=True)
    with_hot = {
        "signs": {"dead": dead, "hot": hot},
        "causes": {"worn": replace(worn, shows={"dead": 0.9, "hot": 0.9})},
    }
    mains = Caution(id="mains", says="Mains", severity="danger")
    lid = replace(book.layers["lid"], cautions=("mains",))
    changes = {
        "B01": {"causes": {"worn": replace(worn, mended_by=())}, "remedies": {}},
        "B02": {
            "causes": {"worn": replace(worn, shows={"hot": 0.9})},
            "signs": {"dead": dead, "hot": hot},
        },
        "B03": {"signs": {"dead": dead, "hot": hot}},
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
        "B14": {
            "causes": {"worn": worn, "torn": cause("torn", {"dead": 0.85}, "mend")},
            "remedies": {"renew": renew, "mend": remedy("mend")},
        },
        "B15": {
            "signs": {"dead": dead, "hot": hot},
            "symptoms": {"s": Symptom(id="s", says="S", signs=("dead", "hot"), walk="w")},
        },
        "B16": {
            "signs": {"dead": dead, "hot": sign("hot", leak=0.5)},
            "causes": {"worn": replace(worn, shows={"dead": 0.9, "hot": 0.1})},
            "checks": {"look": look, "feel": check("feel", "hot")},
        },
        "B17": {"checks": {"look": look, "stare": check("stare", "dead", minutes=2)}},
        "B28": with_hot
        | {"checks": {"look": look, "feel": check("feel", "hot", not_while=("hot",))}},
        "B18": with_hot | {"checks": {"look": look, "probe": live}},
        "B19": with_hot
        | {
            "checks": {
                "look": replace(look, live=True),
                "probe": replace(live, unpowered=("look",)),
            }
        },
        "B20": with_hot
        | {
            "checks": {"look": look, "probe": live},
            "cautions": {"mains": mains},
            "layers": {"outside": book.layers["outside"], "lid": lid},
        },
        "B21": {"thumbs": {"t": Thumb(id="t", says="A rule", source="from_memory", figure=2)}},
        "B27": {
            "thumbs": {"t": Thumb(id="t", says="A rule", source="from_memory", figure=2, unit="mm")}
        },
        "B22": {"walks": {"w": WalkStep(check="look")}},
        "B23": {
            "signs": {"dead": dead, "hot": hot},
            "checks": {"look": look, "feel": check("feel", "hot")},
            "symptoms": {"s": Symptom(id="s", says="S", signs=("hot",), walk="w")},
            "walks": {"w": WalkStep(check="feel", why=why)},
        },
        "B24": {"signs": {"dead": replace(dead, basis={})}},
        "B25": {"cautions": {"mains": replace(mains, says="Over 35 V")}},
        "B26": {"walks": {"w": denied}},
    }
    return replace(book, **changes[code])


CODES = [finding.code for finding in FINDINGS]


@pytest.mark.parametrize("code", CODES)
def test_each_doubt_is_found(code: str) -> None:
    """Every finding has a book in which it, and only what comes with it, is told."""
    assert code in {doubt.code for doubt in doubts(spoilt(code))}


@pytest.mark.parametrize("finding", FINDINGS, ids=CODES)
def test_each_finding_defines_its_code(finding: Finding) -> None:
    """The docstring begins with the code, and no two findings share one."""
    assert (finding.find.__doc__ or "").startswith(f"{finding.code}: ")
    assert CODES.count(finding.code) == 1


def test_what_can_hurt_comes_first_then_file_and_line() -> None:
    """Kinds stand in the order of the findings; within one, files and lines rise."""
    book = spoilt("B07")
    where = {"b": Origin("b.yaml", 1), "a": Origin("a.yaml", 9), "c": Origin("a.yaml", 10)}
    bare = {name: replace(sign(name), origin=origin, basis={}) for name, origin in where.items()}
    told = doubts(replace(book, signs={**book.signs, **bare}))
    assert told[0].code == "B07"
    lines = [str(doubt.origin) for doubt in told if doubt.code == "B24"]
    assert lines == ["a.yaml:9", "a.yaml:10", "b.yaml:1"]


def test_codes_named_are_the_only_ones_told() -> None:
    """The others are not looked for."""
    assert {doubt.code for doubt in doubts(spoilt("B07"), ("B18",))} == {"B18"}
    assert doubts(spoilt("B07"), ("B12",)) == ()
