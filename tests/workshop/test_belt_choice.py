"""The best belt of a list, and what is told of it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.errors import BenchtrailError
from diag.workshop.belt_choice import JOB
from diag.workshop.job import Outcome, work_sheet
from diag.workshop.jobs import JOBS
from diag.workshop.sheet import sheet_of


def outcome(text: str, **typed: str) -> Outcome:
    """The job done on a list."""
    return work_sheet(JOB, sheet_of(text, "belts.csv", JOB.headings), typed)


def order(found: Outcome) -> list[object]:
    """Names, best first."""
    return [row[0] for row in found.tables[0].rows]


def test_every_job_has_an_example_that_can_be_done() -> None:
    """As it is printed on its page."""
    for job in JOBS.values():
        sheet = sheet_of(job.example, "list.csv", job.headings)
        assert work_sheet(job, sheet, job.example_given).says


def test_best_and_next_by_the_published_window() -> None:
    """belt_measuring, published: 5 to 10 % shorter; 250 mm: 225 to 237.5 mm. B is in the middle."""
    found = outcome("name,length\nA,236\nB,231\nC,238\nD,200\n", path="250")
    assert order(found) == ["B", "A", "C", "D"]
    judged = [row[1] for row in found.tables[0].rows]
    assert judged == ["right", "right", "slack", "tight"]
    assert found.says[0].startswith("Best: B, right; 7.6 % shorter")
    assert found.says[1].startswith("Next: A, right")


@pytest.mark.parametrize(
    ("length", "words"),
    [
        ("237.5", "A, right; 5 % shorter than the path, on the limit."),
        ("225", "A, right; 10 % shorter than the path, on the limit."),
        ("237.6", "A, slack, it will slip; 4.96 % shorter than the path, on the limit."),
        ("236", "A, right; 5.6 % shorter than the path, 0.6 points inside the nearest limit."),
        ("212", "15.2 % shorter than the path, 5.2 points past the nearest limit."),
    ],
)
def test_margin_is_told_as_far_as_a_ruler_goes(length: str, words: str) -> None:
    """Of 250 mm, by arithmetic: 5 % is 237.5 mm, 10 % is 225; tenths of a point are told."""
    assert outcome(f"name,length\nA,{length}\n", path="250").says[0].endswith(words)


@given(path=st.integers(100, 4000), pct=st.sampled_from([5, 10]))
def test_belt_on_the_limit_is_right(path: int, pct: int) -> None:
    """At 5 and 10 % of any path, which binary has now above, now below."""
    found = outcome(f"length\n{path * (100 - pct) / 100!r}\n", path=str(path))
    assert found.tables[0].rows[0][1:3] == ("right", 0)


def test_round_ring_has_a_window_of_its_own() -> None:
    """oring_belts, published: 8 to 12 % of stretch: 223.21 to 231.48 mm for 250 mm."""
    text = "name,length,section\nlong,232,round\nfits,231,O-ring\nalso,223.5,round\nshort,223,r\n"
    rows = {row[0]: row[1] for row in outcome(text, path="250").tables[0].rows}
    assert rows == {"long": "slack", "fits": "right", "also": "right", "short": "tight"}


def test_pulley_too_small_for_a_ring_is_told() -> None:
    """oring_belts, published: a pulley of four times the cord."""
    text = "name,length,section,thickness\nring,228,round,1.5\n"
    assert "wants a pulley of 6 mm at least" in " ".join(
        outcome(text, path="250", pulley="5").remarks
    )
    assert "wants a pulley" not in " ".join(outcome(text, path="250", pulley="6").remarks)


def test_wanted_thickness_leads_among_right_ones() -> None:
    """A thickness that isn't told stands between the wanted one and another."""
    text = "name,length,thickness\nthick,231,1.2\nnot told,232,\nthin,236,0.6\nslack,240,0.6\n"
    found = outcome(text, path="250", thickness="0.5")
    assert order(found) == ["thin", "not told", "thick", "slack"]
    assert any(line.startswith("not told: no thickness told") for line in found.remarks)
    assert order(outcome(text, path="250"))[0] == "thick"


def test_none_is_right_tells_what_to_order() -> None:
    """225 to 237.5 mm for 250 mm, by arithmetic."""
    found = outcome("length\n240\n260\n", path="250")
    assert found.says[0].startswith("None is right. Nearest: line 2, slack, it will slip; 4 %")
    assert found.says[2] == "Order a flat or square belt of 225 to 237.5 mm for this path."
    assert "line 3: it is no shorter than its path and won't grip at all." in found.remarks


def test_ring_diameter_and_pull() -> None:
    """By arithmetic: pi x 75 mm is 235.62; 3.605 MPa x 1.2² mm² x 6.103 % is 0.3168 N."""
    text = "name,diameter,section,thickness,hardness\nA,75,square,1.2,60\n"
    row = dict(zip(*_first(outcome(text, path="250")), strict=True))
    assert row["length_mm"] == pytest.approx(235.619, abs=1e-3)
    assert row["pull_n"] == pytest.approx(0.3168, abs=1e-4)


def _first(found: Outcome) -> tuple[tuple[str, ...], tuple[object, ...]]:
    return found.tables[0].header, found.tables[0].rows[0]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("name,length\nA,\n", "column 'length': this belt has no length"),
        ("length,diameter\n230,80\n", "a ring of 80 mm is 251.3 mm long, not 230 mm"),
        ("length,section\n230,oval\n", "column 'section': 'oval' is not known here"),
        ("length,thickness\n230,9 V\n", "is a voltage, but a length is asked"),
        ("length\n2\n", "out of range. 5 to 20000 mm"),
    ],
)
def test_bad_cell_is_told(text: str, told: str) -> None:
    """With its line and column."""
    with pytest.raises(BenchtrailError, match=told) as caught:
        outcome(text, path="250")
    assert caught.value.where.startswith("belts.csv, line 2, column ")


def test_cell_under_a_heading_that_is_not_known_is_told() -> None:
    """What is missed may be there under another name."""
    with pytest.raises(BenchtrailError, match="no length") as caught:
        outcome("name,inner length\nA,230\n", path="250")
    assert "Column 'inner length' isn't used." in caught.value.do


def test_slip_in_a_heading_is_told() -> None:
    """A column that isn't used may have been meant as one that is."""
    found = outcome("length,thicknes,price\n230,1,2\n", path="250")
    assert found.remarks[:2] == (
        "Column 'thicknes' isn't used. Did you mean 'thickness'?",
        "Column 'price' isn't used.",
    )


def test_bad_figure_is_told() -> None:
    """As with a sum."""
    with pytest.raises(BenchtrailError, match="there is no path"):
        outcome("length\n230\n")
    with pytest.raises(BenchtrailError, match="Did you mean 'path'"):
        outcome("length\n230\n", pathh="250")


@given(st.lists(st.floats(5, 20000), min_size=1, max_size=8), st.floats(5, 20000))
def test_order_is_that_of_the_judgements(lengths: list[float], path: float) -> None:
    """Right ones come first, and every belt of the list is told once."""
    text = "length\n" + "".join(f"{length!r}\n" for length in lengths)
    rows = outcome(text, path=repr(path)).tables[0].rows
    wrong = [row[1] != "right" for row in rows]
    assert wrong == sorted(wrong)
    assert len(rows) == len(lengths)
