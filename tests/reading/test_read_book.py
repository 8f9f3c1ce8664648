"""Books are read whole, and every problem is told with its file and line."""

from __future__ import annotations

import pytest
from book_folder import BookFolder

from diag.errors import BenchtrailError
from diag.reading.book import read_book

FACT = "{hz: {ask: Which mains?, unit: Hz, range: %s}}"


def test_good_book_is_read(folder: BookFolder) -> None:
    """Every section, default and figure arrives in the model."""
    book = folder.read()
    cause = book.causes["idler_glazed"]
    assert book.family == "tape"
    assert cause.prior.by_age == ((20, 0.10), (45, 0.45))
    assert cause.shows == {"takeup_dead": 0.7, "tape_spills": 0.4}
    assert book.traits["mains_motor"].one_of == ("yes", "no")
    assert book.layers["transport"].close_minutes == 45
    assert book.checks["speed_error"].answers["right"].present == ()
    assert book.signs["takeup_dead"].basis == {"leak": "judgement"}
    assert str(cause.origin) == "tape/reels/idler.yaml:8"


def test_answers_evidence_is_that_of_a_decision_list(folder: BookFolder) -> None:
    """Signs of the answers above are absent unless an answer lists them itself."""
    assert folder.read().checks["hubs_in_play"].evidence == {
        "neither": {"reels_dead": True},
        "supply_only": {"reels_dead": False, "takeup_dead": True},
        "both": {"reels_dead": False, "takeup_dead": False},
    }


def test_digest_follows_every_change(folder: BookFolder) -> None:
    """The digest is the same for the same files and another after any change."""
    before = folder.read().digest
    assert folder.read().digest == before
    folder.spoil("reels/idler.yaml", "0.45", "0.46")
    assert folder.read().digest != before


@pytest.mark.parametrize(
    ("old", "new", "line", "found"),
    [
        ("takeup_dead: 0.7", "takeup_dead: 1.3", 13, "1.3 is not a probability"),
        ("takeup_dead: 0.7", "takeup_daed: 0.7", 13, "Did you mean 'takeup_dead'?"),
        ("takeup_dead: 0.7", "takeup_dead: .nan", 13, "a probability from 0 to 1 is wanted"),
        ("mended_by: [clean_idler]", "mended_by: [clean_ider]", 14, "Did you mean 'clean_idler'?"),
        ("cites: [idler_first]", "citse: [idler_first]", 15, "Did you mean 'cites'?"),
        ("    says: Idler tyre glazed\n", "", 8, "the key 'says' is missing"),
        ("minutes: 6", "minutes: -6", 29, "-6 is not minutes"),
        ("- id: alone", "- id: Not-Alone", 42, "no lower_snake_case id"),
        ("cures: 0.6", "cures: 0.6, cures: 0.7", 35, "given twice"),
        ("says: Clean the tyre", "says: !!python/name:os.system x", 35, "a tag"),
        ("says: Clean the tyre", 'says: "Clean\\e[31m"', 35, "a control character (code 27)"),
        ("says: Clean the tyre", 'says: "Clean \\u202e"', 35, "a control character"),
        ("prior: {45: 0.45, 20: 0.10}", "prior: {old: 0.4}", 10, "an age in years is wanted"),
        ("drive: [belt, idler]", "drive: [rope]", 8, "'rope' is no value of the trait drive"),
        ("strap_wrong: 1.5", "strap_wrnog: 1.5", 8, "Did you mean 'strap_wrong'?"),
        ("is: present", "is: there", 42, "'there' is no value of the sign takeup_dead"),
        ("{trait: mains_motor, is: yes}", "{is: yes}", 40, "a condition names one of"),
        ("source: common_practice", "source: hearsay", 37, "'hearsay' is not in sources"),
    ],
)
def test_problem_is_told_with_its_line(
    folder: BookFolder, old: str, new: str, line: int, found: str
) -> None:
    """One thing wrong gives one problem, at its line, with what to do."""
    folder.spoil("reels/idler.yaml", old, new)
    (problem,) = folder.problems()
    assert problem.path == "tape/reels/idler.yaml"
    assert found in str(problem)
    assert problem.line == line


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        ("under: lid", "under: transport", "the layers go round"),
        ("under: outside, ", "", "has no `under`"),
        ("open: 4, ", "", "needs `open` and `close` minutes"),
        ("idler_glazed: 0.05", "idler_glazd: 0.05", "Did you mean 'idler_glazed'?"),
        ("both: {check", "bothe: {check", "'bothe' is no answer of hubs_in_play"),
        ("final_test: [hubs_in_play]", "final_test: [hubs]", "'hubs' is not in checks"),
        ("says: Machines of this test\n", "", "'family' and 'says' are missing"),
        ("direct]}", "direct], shares: {belt: 0.9, idler: 0.1, direct: 0.1}}", "add up to 1.1"),
        ("direct]}", "direct], shares: {belt: 0.9}}", "its shares leave out idler, direct"),
        ("direct]}", "direct], shares: {rope: 1}}", "'rope' is no value of it"),
        ("final_test: [", f"facts: {FACT % '[65, 45]'}\nfinal_test: [", "least and then the most"),
        ("final_test: [", f"facts: {FACT % '[45]'}\nfinal_test: [", "found [45]"),
        ("final_test: [", f"facts: {FACT % '[45, 65, 70]'}\nfinal_test: [", "found [45, 65, 70]"),
        ("final_test: [", f"facts: {FACT % '[45, much]'}\nfinal_test: [", "a number is wanted"),
        (
            "final_test: [",
            f"facts: {FACT % '[45, 65], kind: yes_or_no'}\nfinal_test: [",
            "only a number",
        ),
        ("family: tape", "familly: tape", "Did you mean 'family'?"),
        ("family: tape", "takes_from: [tape]\nfamily: tape", "takes over from itself"),
        ("family: tape", "takes_from: [reel]\nfamily: tape", "there is no family 'reel'"),
    ],
)
def test_problem_of_the_family_file_is_told(
    folder: BookFolder, old: str, new: str, found: str
) -> None:
    """Problems of layers, walks and the head of a family are told, too."""
    folder.spoil("family.yaml", old, new)
    assert any(found in str(problem) for problem in folder.problems())


def test_all_problems_are_told_in_one_run(folder: BookFolder) -> None:
    """Problems of several files and kinds come together, in order of file and line."""
    folder.spoil("family.yaml", "idler_glazed: 0.05", "idler_glazd: 0.05")
    folder.spoil("reels/idler.yaml", "takeup_dead: 0.7", "takeup_daed: 1.3")
    folder.spoil("reels/idler.yaml", "cures: 0.6", "curse: 0.6")
    told = [(p.path, p.line) for p in folder.problems()]
    assert told == sorted(told)
    assert len(told) == 5


def test_gap_between_answers_is_told(folder: BookFolder) -> None:
    """A combination of signs that fits no answer is named."""
    folder.spoil("reels/idler.yaml", "present: [reels_dead]", "present: [reels_dead, speed_low]")
    assert any(
        "no answer fits when reels_dead present, speed_low absent" in p.found
        for p in folder.problems()
    )


def test_overlap_of_answers_is_told(folder: BookFolder) -> None:
    """Two answers that both fit are named."""
    folder.spoil("reels/idler.yaml", "      both:\n", "      both:\n      none:\n")
    assert any("both and none both fit" in p.found for p in folder.problems())


def test_band_that_leaves_a_value_out_is_told(folder: BookFolder) -> None:
    """A measured value without an answer is named."""
    folder.spoil("reels/idler.yaml", "{says: Within 1.5 %}", "{above: -1.4}")
    assert any("no answer fits a measured" in p.found for p in folder.problems())


def test_entry_given_twice_in_two_files_is_told(folder: BookFolder) -> None:
    """The second place names the first."""
    folder.put("more.yaml", "signs: {takeup_dead: {says: again, leak: 0.1}}")
    assert any("stands in signs already, at tape/more.yaml" in str(p) for p in folder.problems())


def test_retired_id_is_kept_and_not_usable(folder: BookFolder) -> None:
    """A retired id maps to its successor; naming it elsewhere is a problem that says so."""
    folder.put("old.yaml", "remedies: {wash_idler: {replaced_by: clean_idler}}")
    assert folder.read().retired == {"remedies": {"wash_idler": "clean_idler"}}
    folder.spoil("reels/idler.yaml", "mended_by: [clean_idler]", "mended_by: [wash_idler]")
    assert any("It was replaced by 'clean_idler'." in p.do for p in folder.problems())


def test_family_takes_over_another(folder: BookFolder) -> None:
    """Entries of a family taken over are there, and an own one of the same id replaces them."""
    reel = folder.root / "reel"
    reel.mkdir()
    (reel / "family.yaml").write_text(
        "family: reel\nsays: Open reel\ntakes_from: [tape]\n"
        "remedies: {clean_idler: {says: Wash it, minutes: 9, at: lid, cures: 0.5}}\n"
    )
    book = read_book(folder.root, "reel")
    assert book.family == "reel"
    assert book.remedies["clean_idler"].minutes == 9
    assert "idler_glazed" in book.causes


def test_unknown_family_names_the_nearest(folder: BookFolder) -> None:
    """A family that is not there is told with those that are."""
    with pytest.raises(BenchtrailError, match="Did you mean 'tape'"):
        read_book(folder.root, "tapes")
