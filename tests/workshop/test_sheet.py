"""Lists as spreadsheets save them: what is read, what is told, and that nothing written is run."""

from __future__ import annotations

import csv
from io import StringIO
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.errors import BenchtrailError
from diag.model.quantity import unit
from diag.workshop.sheet import FORMULA, MOST_ROWS, as_csv, read_sheet, sheet_of

KNOWN = ("name", "length", "thickness")


@pytest.mark.parametrize(
    ("saved", "encoding"),
    [
        ("name,length\nÖse,238.1\n", "utf-8"),
        ("name;length\r\nÖse;238,1\r\n", "utf-8-sig"),
        ("Name\tLength (mm)\nÖse\t238,1\n", "utf-16"),
        ('"name";"Length [mm]"\n"Öse";"238,1"\n', "cp1252"),
        ("sep=;\nname;length\nÖse;238.1\n", "utf-8"),
        ("\n;;\nname;length;\nÖse;238,1 mm;\n;;\n", "utf-8"),
        ('name,length\nÖse,"238,1"\n', "utf-8"),
        ("name;length\nÖse\u00a0;23,81 cm\n", "utf-8"),
    ],
)
def test_ways_to_save_a_list(tmp_path: Path, saved: str, encoding: str) -> None:
    """Separator, mark, quotes, decimal sign and headings as spreadsheets vary them."""
    path = tmp_path / "belts.csv"
    path.write_bytes(saved.encode(encoding))
    (row,) = read_sheet(path, KNOWN).rows
    assert row.text("name") == "Öse"
    assert row.number("length", unit("mm"), 1, 1000) == pytest.approx(238.1)


def test_one_column_keeps_its_decimal_commas() -> None:
    """Without a separator in the heading, a comma is no separator."""
    rows = sheet_of("length\n238,1\n230\n", "belts.csv", KNOWN).rows
    assert [row.text("length") for row in rows] == ["238,1", "230"]


@pytest.mark.parametrize(
    ("heading", "cell", "mm"),
    [
        ("Length (cm)", "23,8", 238),
        ("Length [in]", "1 7/8", 47.625),
        ("length (cm)", "238 mm", 238),
        ("length (cm)", "2.38e1", 238),
        ("length", "238", 238),
    ],
)
def test_unit_of_a_heading_counts(heading: str, cell: str, mm: float) -> None:
    """For bare numbers; a cell keeps a unit of its own. An inch is 25.4 mm by definition."""
    (row,) = sheet_of(f"{heading}\n{cell}\n", "belts.csv", KNOWN).rows
    assert row.number("length", unit("mm"), 1, 1000) == pytest.approx(mm)


def test_unit_of_a_heading_that_is_not_known_is_told() -> None:
    """Rather than read feet as millimetres."""
    (row,) = sheet_of("length (ft)\n2\n", "belts.csv", KNOWN).rows
    with pytest.raises(BenchtrailError, match="'ft' in '1 ft' is no unit that is known here"):
        row.number("length", unit("mm"), 1, 1000)


def test_errors_name_line_and_column() -> None:
    """Also below a cell of two lines, where rows and lines differ."""
    rows = sheet_of('name;length\n"two\nlines";1\nthin;wide\n', "belts.csv", KNOWN).rows
    with pytest.raises(BenchtrailError, match="'wide' is no number") as caught:
        rows[1].number("length", unit("mm"), 1, 1000)
    assert caught.value.where == "belts.csv, line 4, column 'length'"
    with pytest.raises(BenchtrailError, match=r"'1' was read as 1 mm.*5 to 1000 mm is taken"):
        rows[0].number("length", unit("mm"), 5, 1000)
    with pytest.raises(BenchtrailError, match="this cell is empty"):
        rows[0].needed("thickness")
    with pytest.raises(BenchtrailError, match="Did you mean 'thick'"):
        rows[1].one_of("name", {"thick": "thick"})


@pytest.mark.parametrize(
    ("text", "told", "where"),
    [
        ("", "no row below", "a.csv"),
        ("name;length\n", "no row below", "a.csv"),
        ("name;length;Name\nx;1;y\n", "column 'name' stands twice", "a.csv, line 1"),
        ("colour;price\nx;1\n", "no heading is known: colour, price", "a.csv, line 1"),
        ("name;length\nx;1;2\n", "3 cells, and 2 headings", "a.csv, line 2"),
        ('name;length\nx;1\n"y;2\n', "a quote is opened", "a.csv, line 3"),
        ('name;length\n"x"y;1\n', "a quote is opened", "a.csv, line 2"),
        ("name;length\n" + "x;1\n" * (MOST_ROWS + 1), "more than 5000 rows", "a.csv"),
    ],
)
def test_what_is_no_list_is_told(text: str, told: str, where: str) -> None:
    """With its place."""
    with pytest.raises(BenchtrailError, match=told) as caught:
        sheet_of(text, "a.csv", KNOWN)
    assert caught.value.where == where


@pytest.mark.parametrize("data", [b"PK\x03\x04\0\0", b"\xff\xfe\xff", b"\x81\x8d\0"])
def test_what_is_no_text_is_told(tmp_path: Path, data: bytes) -> None:
    """A workbook in place of a CSV file, for one."""
    path = tmp_path / "belts.xlsx"
    path.write_bytes(data)
    with pytest.raises(BenchtrailError, match="this is no text"):
        read_sheet(path, KNOWN)


def test_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    """And so is a folder, and a name that no file can have."""
    for path in (tmp_path / "none.csv", tmp_path, Path("a\0b")):
        with pytest.raises(BenchtrailError, match="can't be read"):
            read_sheet(path, KNOWN)


def test_columns_that_are_not_known_are_kept_in_mind() -> None:
    """They are told to the person by whoever uses the list."""
    sheet = sheet_of("name;colour;lenght\nx;red;1\n", "a.csv", KNOWN)
    assert (sheet.columns, sheet.unused) == (("name",), ("colour", "lenght"))


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-2+3", "@SUM(A1)", " =cmd|' /C calc'!A0", "\t=1", "\uff1d1+1", "'=1"]
)
def test_formula_is_text_and_is_written_as_text(text: str) -> None:
    """No cell that is written begins as a formula does; read again, it is the same."""
    (row,) = sheet_of(f'name;length\n"{text}";1\n', "a.csv", KNOWN).rows
    kept = row.text("name")
    written = as_csv(("name", "length"), [(kept, -1.5)], ";").decode("utf-8-sig")
    (cell, number) = list(csv.reader(StringIO(written), delimiter=";"))[1]
    assert not cell.lstrip().startswith(FORMULA)
    assert number == "-1,5"
    assert sheet_of(written, "a.csv", KNOWN).rows[0].text("name") == kept


cells = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)


@given(st.lists(st.tuples(cells, cells), min_size=1, max_size=5), st.sampled_from(";,\t"))
def test_any_text_is_safe_and_comes_back(rows: list[tuple[str, str]], separator: str) -> None:
    """Whatever is in a list: once read, it is written and read again without a change."""
    first_row = ("kept", "1")  # or there may be no row at all
    first = as_csv(("name", "length"), [first_row, *rows], separator).decode("utf-8-sig")
    for row in csv.reader(StringIO(first), delimiter=separator):
        assert not any(cell.lstrip().startswith(FORMULA) for cell in row)
    read = sheet_of(first, "a.csv", KNOWN).rows
    kept = [(row.text("name"), row.text("length")) for row in read]
    second = as_csv(("name", "length"), kept, separator).decode("utf-8-sig")
    again = sheet_of(second, "a.csv", KNOWN).rows
    assert [(row.text("name"), row.text("length")) for row in again] == kept
