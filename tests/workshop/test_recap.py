"""What replaces a capacitor, and the order for a board."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.errors import BenchtrailError
from diag.workshop.capacitors import E24
from diag.workshop.job import Outcome, work_sheet
from diag.workshop.recap import JOB, ORDER
from diag.workshop.recap_parts import PLACES
from diag.workshop.recap_rules import RATED_V
from diag.workshop.sheet import sheet_of

HEADS = "reference;value;voltage;polarity;type;place;diameter;height;pitch\n"
COLUMNS = HEADS.count(";") + 1


def outcome(*rows: str, **typed: str) -> Outcome:
    """The job done on rows; cells that are left out at the end are empty."""
    text = HEADS + "".join(f"{row}\n" for row in rows)
    return work_sheet(JOB, sheet_of(text, "board.csv", JOB.headings), typed)


def order(*rows: str, **typed: str) -> list[dict[str, object]]:
    """The lines of the order."""
    return [dict(zip(ORDER, row, strict=True)) for row in outcome(*rows, **typed).tables[0].rows]


@pytest.mark.parametrize(
    ("marked", "place", "value"),
    [
        # iec_60063, published: E6 is 1 1.5 2.2 3.3 4.7 6.8. Within 20 %: common practice.
        ("47", "coupling", 47),
        ("50", "coupling", 47),
        ("5", "decoupling", 4.7),
        ("250", "decoupling", 220),
        ("640", "decoupling", 680),
        ("16", "decoupling", 15),
        # 33 is 22 % up and 22 is 18.5 % down of 27, by ratio the first is nearer: E12 has 27.
        ("27", "decoupling", 27),
        # Behind a rectifier the next not below, at most half more: common practice.
        ("50", "reservoir", 68),
        ("1000", "reservoir", 1000),
        ("2000", "reservoir", 2200),
        ("1100", "reservoir", 1500),
        # What sets a time or a frequency keeps to E12.
        ("8", "timing", 8.2),
        ("0.5", "filter", 0.47),
    ],
)
def test_value_is_the_next_preferred(marked: str, place: str, value: float) -> None:
    """By place."""
    (line,) = order(f"C1;{marked};16;polar;;{place}")
    assert line["value_uf"] == pytest.approx(value)


@pytest.mark.parametrize(
    ("marked", "volts"),
    [("3", 6.3), ("6,3", 6.3), ("15", 16), ("16", 16), ("40", 50), ("385", 400)],
)
def test_voltage_goes_up_never_down(marked: str, volts: float) -> None:
    """Common practice; the ratings are from memory."""
    (line,) = order(f"C1;10;{marked};polar;;decoupling")
    assert line["voltage_v"] == volts


def test_voltage_above_all_ratings_is_left_to_the_mark() -> None:
    """It doesn't come down to what is sold, and the rest of the board is still planned."""
    lines = order("C1;10;500;polar;;decoupling", "C2;10;16;polar;;decoupling")
    assert [line["voltage_v"] for line in lines] == [16, 500]
    assert "order by its mark" in str(lines[1]["why"])


@pytest.mark.parametrize(
    ("row", "kind"),
    [
        ("C1;10;16;polar;;decoupling", "electrolytic"),
        ("C1;10;16;polar;;reservoir", "electrolytic, low ESR"),
        ("C1;10;16;polar;;converter", "electrolytic, low ESR"),
        ("C1;10;16;polar;;regulator", "electrolytic"),
        ("C1;10;16;bipolar;;coupling", "bipolar electrolytic"),
        ("C1;10;16;NP;;coupling", "bipolar electrolytic"),
        ("C1;10;16;polar;tantalum;coupling", "electrolytic"),
        ("C1;1;16;polar;;coupling", "film"),
        ("C1;1;16;bipolar;;timing", "film"),
        ("C1;2,2;16;polar;;coupling", "electrolytic"),
        ("C1;1;16;polar;;decoupling", "electrolytic"),
        # A film box of 7.2 by 10 mm, from memory, has no room there.
        ("C1;1;16;polar;;coupling;5", "electrolytic"),
        ("C1;1;16;polar;;coupling;8;7", "electrolytic"),
        ("C1;1;16;polar;;coupling;8;10", "film"),
        ("C1;0,022;400;;paper;coupling", "film"),
        ("C1;0,047;250;;paper;mains", "film, class X2, AC"),
        ("C1;0,0047;250;;ceramic;y2", "film or ceramic, class Y2, AC"),
        ("C1;2,5;220;;;motor run", "motor run, AC"),
    ],
)
def test_kind_by_place_polarity_and_room(row: str, kind: str) -> None:
    """Common practice: low ESR for ripple, film where it serves, bipolar where it was."""
    (line,) = order(row)
    assert line["kind"] == kind
    is_electrolytic = "electrolytic" in kind
    assert line["temperature_c"] == (105 if is_electrolytic else None)


def test_capacitor_to_the_case_never_grows() -> None:
    """The current through it goes with its value; 4.7 nF is E6, 5 nF isn't (iec_60063)."""
    (line,) = order("C1;5n;250;;paper;mains to case")
    assert line["value_uf"] == pytest.approx(0.0047)


def test_what_can_hurt_is_told() -> None:
    """Charge first, then what hangs on the mains."""
    assert JOB.caution.startswith("Unplug, discharge")
    found = outcome("C1;47n;250;;film;mains", "C2;10;16;polar;;coupling")
    (caution,) = found.cautions
    assert caution.startswith("C1: on the mains.")
    assert "licensed person" in caution


@pytest.mark.parametrize(
    "marked",
    ["250 V~", "250V~", "250VAC", "250 V ac", "AC 250 V", "~250", "250~V", "X2 250", "250 V a.c."],
)
def test_mark_for_alternating_voltage_is_read(marked: str) -> None:
    """Across the mains it is class X2, with the next rating that is sold (from memory)."""
    (line,) = order(f"C1;47n;{marked};;film;mains")
    assert (line["kind"], line["voltage_v"]) == ("film, class X2, AC", 275)


@pytest.mark.parametrize("heading", ["voltage (V~)", "voltage [VAC]", "Voltage (V AC)"])
def test_heading_may_say_alternating(heading: str) -> None:
    """For every cell below it."""
    text = f"reference;value;{heading};place\nC1;47n;250;mains\n"
    found = work_sheet(JOB, sheet_of(text, "board.csv", JOB.headings), {})
    assert dict(zip(ORDER, found.tables[0].rows[0], strict=True))["voltage_v"] == 275


@pytest.mark.parametrize(("marked", "volts"), [("6V3", 6.3), ("16V", 16), ("63VDC", 63)])
def test_direct_mark_is_read_as_it_is_printed(marked: str, volts: float) -> None:
    """With V in place of the point, or DC behind it."""
    (line,) = order(f"C1;10;{marked};polar;;decoupling")
    assert (line["voltage_v"], line["kind"]) == (volts, "electrolytic")


def test_part_for_alternating_voltage_gets_none_for_direct() -> None:
    """Common practice: without its place it isn't ordered at all, whatever its type."""
    rows = ("C1;10;250 V~", "C2;100n;250VAC;;paper", "C3;1;250V~;;;coupling")
    found = outcome(*rows, "C4;10;63 VDC;polar;;decoupling")
    assert [row[0] for row in found.tables[2].rows] == ["C1", "C2", "C3"]
    assert [row[10] for row in found.tables[0].rows] == ["C4"]
    assert found.cautions[0].startswith("C1 C2 C3: marked for a.c.")
    assert "licensed person" in found.cautions[0]


def test_direct_mark_across_the_mains_becomes_a_rating_for_the_mains() -> None:
    """A class has ratings for a.c. only; a mark of 630 V is no reason to order d.c. types."""
    (line,) = order("C1;47n;630;;paper;mains")
    assert (line["kind"], line["voltage_v"]) == ("film, class X2, AC", 310)
    assert "taken for a d.c. mark" in str(line["why"])
    (high,) = order("C1;47n;440 V~;;paper;mains")
    assert (high["voltage_v"], "order by its mark" in str(high["why"])) == (440, True)


@pytest.mark.parametrize(
    ("written", "parts"),
    [
        ("C1-C4", "C1 C2 C3 C4"),
        ("C1-4", "C1 C2 C3 C4"),
        ("C1..C4", "C1 C2 C3 C4"),
        ("C1 ... C4", "C1 C2 C3 C4"),
        ("C1, C3", "C1 C3"),
        ("C8\u2013C10/C12", "C8 C9 C10 C12"),
        ("C08-C10", "C08 C09 C10"),
        ("CP1-CP2, CP7", "CP1 CP2 CP7"),
    ],
)
def test_several_references_in_a_cell(written: str, parts: str) -> None:
    """Each counts, and a span is told with what was understood."""
    found = outcome(f"{written};10;16;polar;;decoupling", spares="0")
    (line,) = found.tables[0].rows
    assert (line[10], line[8]) == (parts, len(parts.split()))
    assert any("was read as" in remark for remark in found.remarks) == any(
        sign in written for sign in "-.\u2013"
    )


def test_sound_kinds_are_left() -> None:
    """Film and ceramic aren't ordered, and are told with the reason."""
    found = outcome("C1;100n;63;;film;filter", "C2;10n;50;;ceramic;", "C3;1;50;polar;;coupling")
    assert found.says == (
        "2 capacitors in 1 lines: 1 to fit, 1 to spare.",
        "Better left as they are: 2.",
    )
    assert [row[0] for row in found.tables[2].rows] == ["C1", "C2"]


def test_order_groups_what_one_part_serves() -> None:
    """By kind, value, volts and pitch; the least room counts, and spares are a tenth rounded up."""
    rows = [f"C{n};47;16;polar;;coupling;{6 + n};;2,5" for n in range(1, 11)]
    lines = order(*rows, "C20 C21;50;12;polar;;decoupling;;11;2,5", "C30;47;16;polar;;coupling;;;5")
    assert [(line["order"], line["fitted"], line["spares"]) for line in lines] == [
        (14, 12, 2),
        (2, 1, 1),
    ]
    assert (lines[0]["diameter_max_mm"], lines[0]["height_max_mm"]) == (7, 11)
    assert str(lines[0]["references"]).split()[-2:] == ["C20", "C21"]
    assert order(*rows, spares="0")[0]["order"] == 10
    assert order(*rows)[0]["order"] == 11


def test_what_was_taken_for_granted_is_told() -> None:
    """A polarity or a place that the list lacks."""
    assert outcome("C1;10;16;;;").remarks == (
        "C1: no place told; no low ESR and no film asked.",
        "C1: no polarity told; taken as polar. Look first.",
    )
    assert outcome("C1;10;16;polar;;coupling").remarks == ()


@pytest.mark.parametrize(
    ("rows", "told", "where"),
    [
        (("C1;10;16", "C1;22;16"), "'C1' stands on line 2 already", "line 3, column 'reference'"),
        (("C4-C1;10;16",), "read as C4 to C1, but 1 does not", "line 2, column 'reference'"),
        (("C1-R4;10;16",), "read as C1 to R4, but it begins with C", "line 2, column 'reference'"),
        (("C1-C900;10;16",), "that would be 900 parts", "line 2, column 'reference'"),
        (("C1-C3 C2;10;16",), "'C2' stands here twice", "line 2, column 'reference'"),
        (("C1-C3;10;16", "C3;1;16"), "'C3' stands on line 2", "line 3, column 'reference'"),
        ((",;10;16",), "',' names no part", "line 2, column 'reference'"),
        (("C1;47n;400/300 V~",), "'400/300 V~' is more than one", "line 2, column 'voltage'"),
        (("C1;47n;~",), "'~' has no number", "line 2, column 'voltage'"),
        (("C1;10;9 kV~",), "read as 9000 V, which is out of range", "line 2, column 'voltage'"),
        ((";10;16",), "this cell is empty", "line 2, column 'reference'"),
        (("C1;;16",), "this cell is empty", "line 2, column 'value'"),
        (("C1;10;",), "this cell is empty", "line 2, column 'voltage'"),
        (("C1;10 V;16",), "is a voltage, but a capacitance", "line 2, column 'value'"),
        (("C1;10;16;maybe",), "'maybe' is not known here", "line 2, column 'polarity'"),
        (("C1;10;16;polar;;couplin",), "Did you mean 'coupling'", "line 2, column 'place'"),
        (("C1;10;16;polar;;;huge",), "'huge' is no number", "line 2, column 'diameter'"),
    ],
)
def test_bad_cell_is_told(rows: tuple[str, ...], told: str, where: str) -> None:
    """With its line and column."""
    with pytest.raises(BenchtrailError, match=told) as caught:
        outcome(*rows)
    assert caught.value.where == f"board.csv, {where}"


E6 = E24[::4]


@given(st.floats(0.1, 20000), st.floats(1, 450), st.sampled_from([*PLACES][:6]))
def test_limits_hold_for_any_electrolytic(value: float, volts: float, place: str) -> None:
    """A rating that is sold, not below; a value within 20 %, or up to half more."""
    (line,) = order(f"C1;{value!r};{volts!r};polar;;{place}")
    rated = line["voltage_v"]
    assert isinstance(rated, float | int)
    assert rated >= volts
    assert rated in (RATED_V if "electrolytic" in str(line["kind"]) else (63, 100, 250, 400, 630))
    new = line["value_uf"]
    assert isinstance(new, float)
    ratio = new / value
    assert (1 - 1e-6 <= ratio <= 1.501) if place == "reservoir" else (0.8 <= ratio <= 1.2)
