"""What comes along from a family that is taken over, what is left out, and what that tells."""

from __future__ import annotations

import pytest
from book_folder import BookFolder
from jsonschema import Draft202012Validator
from test_schema import as_json

from diag.errors import KnowledgeError, Problem
from diag.linting.doubts import doubts
from diag.model.book import Book
from diag.reading.book import read_book
from diag.reading.schema import json_schema

DOOR = """\
signs:
  door_stuck: {says: the door stays shut, leak: 0.01}
  door_slams: {says: the door slams, leak: 0.01}
causes:
  door_spring_off:
    says: door spring off
    prior: 0.1
    shows: {door_stuck: 0.9}
    mended_by: [hang_spring]
  door_damper_dry:
    says: damper dry
    prior: 0.1
    shows: {door_slams: 0.9}
    mended_by: [oil_damper, hang_spring]
    looks_like: [door_spring_off]
checks:
  door_opens:
    ask: Does the door open?
    at: well
    minutes: 1
    cautions: [fingers]
    answers: {no: {present: [door_stuck]}, slams: {present: [door_slams]}, yes: {}}
remedies:
  hang_spring: {says: hang the spring, minutes: 5, at: well, cures: 0.9}
  oil_damper: {says: oil the damper, minutes: 5, at: lid, cures: 0.9, cites: [little_oil]}
thumbs:
  little_oil: {says: one drop, source: common_practice}
cautions:
  fingers: {says: fingers, severity: care}
layers:
  well: {under: outside, open: 1, close: 1}
symptoms:
  door_trouble: {says: trouble with its door, signs: [door_stuck, door_slams], walk: door}
walks:
  door: {check: door_opens}
rules:
  - id: door_first
    when: {any: [{symptom: door_trouble}, {sign: takeup_dead, is: present}]}
    then: [{cite: little_oil}, {cite: idler_first}]
  - id: door_only
    when: {all: [{check: door_opens, is: no}, {trait: drive, is: belt}]}
    then: [{cite: little_oil}]
"""


@pytest.fixture
def shared(folder: BookFolder) -> BookFolder:
    """The small book with a door."""
    (folder.folder / "loading").mkdir()
    folder.put("loading/door.yaml", DOOR)
    return folder


def other(shared: BookFolder, leaves_out: str, more: str = "") -> Book:
    """A family that takes over the small book but for some of it."""
    reel = shared.root / "reel"
    reel.mkdir(exist_ok=True)
    head = "family: reel\nsays: Open reel\n"
    takes = f"takes_from: [{{family: tape, leaves_out: [{leaves_out}]}}]\n"
    (reel / "family.yaml").write_text(head + takes + more, encoding="utf-8")
    return read_book(shared.root, "reel")


def problems(shared: BookFolder, leaves_out: str, more: str = "") -> tuple[Problem, ...]:
    """What is wrong with it; fails if nothing is."""
    with pytest.raises(KnowledgeError) as caught:
        other(shared, leaves_out, more)
    return caught.value.problems


@pytest.mark.parametrize("place", ["loading", "loading/", "loading/door.yaml"])
def test_folder_or_file_is_left_out_with_all_that_only_it_needs(
    shared: BookFolder, place: str
) -> None:
    """Its causes, checks, remedies and complaints are gone, and no sign or layer is left over."""
    whole, book = shared.read(), other(shared, place)
    assert set(whole.causes) - set(book.causes) == {"door_spring_off", "door_damper_dry"}
    assert set(whole.checks) - set(book.checks) == {"door_opens"}
    assert set(whole.remedies) - set(book.remedies) == {"hang_spring", "oil_damper"}
    assert set(whole.signs) - set(book.signs) == {"door_stuck", "door_slams"}
    assert set(whole.layers) - set(book.layers) == {"well"}
    assert set(whole.thumbs) - set(book.thumbs) == {"little_oil"}
    assert not book.cautions
    assert set(book.symptoms) == set(book.walks) == {"spills"}
    assert book.causes["idler_glazed"] == whole.causes["idler_glazed"]


def test_what_comes_over_brings_along_what_it_names(shared: BookFolder) -> None:
    """A sign, thumb or layer of a file that is left out stays if something else needs it."""
    shared.spoil(
        "reels/idler.yaml",
        "clean_idler: {says: Clean the tyre, minutes: 15, at: transport",
        "clean_idler: {says: Clean the tyre, cites: [little_oil], minutes: 15, at: well",
    )
    shared.spoil(
        "reels/idler.yaml", "      both:\n", "      door: {present: [door_stuck]}\n      both:\n"
    )
    book = other(shared, "loading")
    assert "well" in book.layers
    assert "transport" not in book.layers, "nothing is done there any more"
    assert "little_oil" in book.thumbs
    assert "door_stuck" in book.signs
    assert "door_slams" not in book.signs


def test_single_entry_is_left_out(shared: BookFolder) -> None:
    """Lists lose it; a remedy that nothing else needs goes with it."""
    book = other(shared, "causes.door_spring_off, remedies.oil_damper")
    damper = book.causes["door_damper_dry"]
    assert damper.mended_by == ("hang_spring",)
    assert damper.looks_like == ()
    assert "oil_damper" not in book.remedies
    book = other(shared, "causes.idler_glazed")
    assert "clean_idler" not in book.remedies
    assert "transport" not in book.layers, "nothing is done there any more"


def test_layer_no_longer_upsets_what_is_gone(shared: BookFolder) -> None:
    """The chance of bringing about a cause goes with the cause."""
    shared.put("more.yaml", MORE)
    book = other(shared, "causes.idler_glazed")
    assert book.layers["transport"].upsets == {}
    assert shared.read().layers["transport"].upsets == {"idler_glazed": 0.05}


MORE = """\
causes: {belt_off: {says: belt off, prior: 0.1, shows: {reels_dead: 1}, mended_by: [put_belt]}}
remedies: {put_belt: {says: put it on, minutes: 9, at: transport, cures: 1}}
"""


def test_way_without_power_comes_with_the_powered_one(shared: BookFolder) -> None:
    """Though nothing else asks it; left out by name, it is missing from the list."""
    shared.spoil(
        "reels/idler.yaml",
        "    ask: Which hubs turn?\n",
        "    ask: Which hubs turn?\n    live: true\n    unpowered: [turn_by_hand]\n",
    )
    shared.put(
        "hand.yaml",
        "checks: {turn_by_hand: {ask: Turn?, at: outside, minutes: 1, answers: {a: , b: }}}\n",
    )
    assert "turn_by_hand" in other(shared, "loading").checks
    book = other(shared, "checks.turn_by_hand")
    assert book.checks["hubs_in_play"].unpowered == ()


def test_sign_that_only_bars_a_check_stays_behind(shared: BookFolder) -> None:
    """Where nothing asks for the sign, it could never let the check in again."""
    shared.spoil(
        "reels/idler.yaml",
        "    ask: Which hubs turn?\n",
        "    ask: Which hubs turn?\n    not_while: [door_stuck, speed_low]\n",
    )
    assert read_book(shared.root, "tape").checks["hubs_in_play"].not_while == (
        "door_stuck",
        "speed_low",
    )
    book = other(shared, "loading")
    assert "door_stuck" not in book.signs
    assert book.checks["hubs_in_play"].not_while == ("speed_low",)


def test_lists_of_the_family_lose_what_is_gone(shared: BookFolder) -> None:
    """A final test that is taken over has only the checks that came along."""
    shared.spoil("family.yaml", "[hubs_in_play]", "[hubs_in_play, door_opens]")
    assert other(shared, "loading").final_test == ("hubs_in_play",)


def test_rule_keeps_what_can_still_hold(shared: BookFolder) -> None:
    """Of `any` the rest stays; a rule that needs what is gone can't hold and goes."""
    assert not {"door_first", "door_only"} & set(other(shared, "loading").rules), "with their file"
    shared.put("rules.yaml", DOOR[DOOR.index("rules:") :])
    shared.put("loading/door.yaml", DOOR[: DOOR.index("rules:")])
    book = other(shared, "loading")
    assert [c.subject for c in book.rules["door_first"].when.every_condition()] == [
        ("sign", "takeup_dead")
    ]
    assert "door_only" not in book.rules


def test_rule_and_fact_that_nothing_hangs_on_go(shared: BookFolder) -> None:
    """With the only cause that it raised, a derived fact has no use."""
    shared.spoil(
        "reels/idler.yaml", "{derive: strap_wrong}, {cite: idler_first}", "{derive: strap_wrong}"
    )
    shared.put("facts.yaml", "facts: {strap_hz: {ask: 'Hz?', unit: Hz}, local_hz: {ask: 'Hz?'}}")
    assert set(other(shared, "loading").facts) == {"strap_hz", "local_hz"}
    book = other(shared, "causes.idler_glazed")
    assert "strap" not in book.rules
    assert not book.facts
    assert "mains_motor" not in book.traits


def test_factor_goes_with_the_rule_that_derived_its_fact(shared: BookFolder) -> None:
    """A cause can do without it."""
    assert other(shared, "rules.strap").causes["idler_glazed"].raised_by == {}


def test_own_entry_stands_in_for_one_that_is_left_out(shared: BookFolder) -> None:
    """What needs the old one has the new one."""
    own = """\
checks:
  door_opens:
    ask: Does the flap open?
    at: outside
    minutes: 2
    answers: {no: {present: [door_stuck]}, yes: {}}
"""
    book = other(shared, "checks.door_opens", own)
    assert book.checks["door_opens"].minutes == 2
    assert book.walks["door"].check == "door_opens"
    assert "door_stuck" in book.signs


def test_own_entries_keep_what_they_name(shared: BookFolder) -> None:
    """What the new family names is needed, whoever else does not."""
    own = "remedies: {comb: {says: comb it, minutes: 1, at: well, cures: 1, cites: [little_oil]}}"
    book = other(shared, "loading", own)
    assert "well" in book.layers
    assert "little_oil" in book.thumbs


@pytest.mark.parametrize(
    ("leaves_out", "found"),
    [
        (
            "checks.hubs_in_play",
            "walks.spills needs checks.hubs_in_play, which is left out. "
            "Leave walks.spills out as well, or give one of your own.",
        ),
        ("walks.spills", "symptoms.spills needs walks.spills, which is left out"),
        ("layers.well", "checks.door_opens needs layers.well, which is left out"),
        ("cautions.fingers", "checks.door_opens needs cautions.fingers, which is left out"),
        ("signs.door_stuck", "checks.door_opens needs signs.door_stuck, which is left out"),
        ("traits.drive", "causes.idler_glazed needs traits.drive, which is left out"),
        (
            "checks.door_opens, symptoms.door_trouble",
            "causes.door_damper_dry shows only what nothing asks for here: door_slams",
        ),
        ("laoding", "tape has no 'laoding'. Did you mean 'loading'?"),
        ("loading/doors.yaml", "Did you mean 'loading/door.yaml'?"),
        ("causes.idler_glased", "Did you mean 'causes.idler_glazed'?"),
        ("sings.door_stuck", "tape has no 'sings.door_stuck'."),
    ],
)
def test_what_is_missed_is_told_where_it_was_left_out(
    shared: BookFolder, leaves_out: str, found: str
) -> None:
    """The message names both and says what to do, at the line of `takes_from`."""
    told = problems(shared, leaves_out)
    assert any(found in str(problem) for problem in told)
    assert {(p.path, p.line) for p in told} == {("reel/family.yaml", 3)}


def test_own_entry_that_names_what_is_left_out_is_told(shared: BookFolder) -> None:
    """It is an unknown id like any other."""
    (problem,) = problems(shared, "loading", "final_test: [door_opens]\n")
    assert "'door_opens' is not in checks" in problem.found


def test_retired_id_goes_with_its_successor(shared: BookFolder) -> None:
    """It leads nowhere any more; one that leads to what came over stays."""
    shared.put(
        "old.yaml", "remedies: {wash: {replaced_by: clean_idler}, hook: {replaced_by: hang_spring}}"
    )
    assert other(shared, "loading").retired == {"remedies": {"wash": "clean_idler"}}


def test_id_retired_by_the_new_family_stays_retired(shared: BookFolder) -> None:
    """Lists of what is taken over lose it; its successor is one of the family's own."""
    own = """\
remedies:
  hang_spring: {replaced_by: new_spring}
  new_spring: {says: fit one, minutes: 9, at: lid, cures: 1}
"""
    book = other(shared, "", own)
    assert book.retired == {"remedies": {"hang_spring": "new_spring"}}
    assert book.causes["door_damper_dry"].mended_by == ("oil_damper",)


def test_trait_with_other_values_decides_what_comes_over(shared: BookFolder) -> None:
    """A cause that no machine of the family can have stays behind; values are those it has."""
    own = "traits: {drive: {ask: 'What turns it?', one_of: [belt]}}"
    assert other(shared, "", own).causes["idler_glazed"].where == {"drive": ("belt",)}
    own = "traits: {drive: {ask: 'What turns it?', one_of: [direct]}}"
    book = other(shared, "", own)
    assert "idler_glazed" not in book.causes
    assert "clean_idler" not in book.remedies
    assert "door_only" not in book.rules


def test_family_may_be_taken_over_on_two_ways(shared: BookFolder) -> None:
    """What one way leaves out comes by the other; the later of two entries stands."""
    (shared.root / "wire").mkdir()
    (shared.root / "wire" / "family.yaml").write_text(
        "family: wire\nsays: Wire\ntakes_from: [{family: tape, leaves_out: [loading]}]\n"
        "remedies: {clean_idler: {says: Wipe, minutes: 1, at: lid, cures: 0.5}}\n"
    )
    (shared.root / "disc").mkdir()
    (shared.root / "disc" / "family.yaml").write_text(
        "family: disc\nsays: Disc\ntakes_from: [tape, wire]\n"
    )
    book = read_book(shared.root, "disc")
    assert "door_spring_off" in book.causes
    assert book.remedies["clean_idler"].minutes == 1


def test_nothing_is_left_over(shared: BookFolder) -> None:
    """A family that takes over a sound book but for a part has no more doubts than that book."""
    before = {(d.code, d.found) for d in doubts(shared.read())}
    assert {(d.code, d.found) for d in doubts(other(shared, "loading"))} <= before


def test_whole_family_comes_over_unchanged(shared: BookFolder) -> None:
    """With nothing left out, all that has a use is there."""
    whole, book = shared.read(), other(shared, "")
    for section in ("causes", "checks", "remedies", "symptoms", "walks", "rules", "layers"):
        assert getattr(book, section) == getattr(whole, section)


def test_both_forms_fit_the_schema() -> None:
    """A family's name, or a family with what is left out."""
    validator = Draft202012Validator(json_schema())
    for takes in ("[tape]", "[{family: tape, leaves_out: [a/b.yaml, causes.c]}, wire]"):
        text = f"family: reel\nsays: Open reel\ntakes_from: {takes}\n"
        assert not list(validator.iter_errors(as_json(text)))
    text = "family: reel\nsays: Open reel\ntakes_from: [{familly: tape}]\n"
    assert list(validator.iter_errors(as_json(text)))
