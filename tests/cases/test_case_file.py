from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from case_strategies import AT, ONE_OF_EACH, cases
from hypothesis import given

from diag.cases.case_file import (
    MOST_BYTES,
    CaseFile,
    case_from_text,
    case_to_text,
    read_case_file,
    write_case_file,
)
from diag.cases.events import Captured, Event, Noted
from diag.cases.held_against import HeldAgainst
from diag.cases.part_kept import PartKept
from diag.cases.taken_apart import PutBack, TakenOff
from diag.errors import CaseError, ExportError

CASE = CaseFile("c-7kq3m", ONE_OF_EACH)
LATER_KINDS = (Captured, TakenOff, PutBack, PartKept, HeldAgainst)


def with_changes(**changes: Any) -> str:
    """The text of a sound case file with some of its keys changed."""
    return json.dumps(json.loads(case_to_text(CASE)) | changes)


def event_with(**changes: Any) -> dict[str, Any]:
    """The plain second event of a sound case file with some of its keys changed."""
    return {"kind": "symptom", "at": "2026-03-14T09:26:53Z", "symptom": "no_sound"} | changes


@given(cases())
def test_case_comes_back_equal(case: Sequence[Event]) -> None:
    """A case survives its way through a case file."""
    assert case_from_text(case_to_text(CaseFile("c-1", tuple(case)))).events == tuple(case)


@pytest.mark.parametrize(
    ("left_out", "version"),
    [
        ((), 4),
        ((HeldAgainst,), 3),
        ((TakenOff, HeldAgainst), 3),
        ((TakenOff, PutBack, PartKept, HeldAgainst), 2),
        (LATER_KINDS, 1),
    ],
)
def test_version_rises_only_with_what_needs_it(left_out: tuple[type, ...], version: int) -> None:
    """A case without recordings and so on is written as before, for the benchtrail of before."""
    events = tuple(event for event in ONE_OF_EACH if not isinstance(event, left_out))
    text = case_to_text(CaseFile("c-1", events))
    assert json.loads(text)["benchtrail_case"] == version


def test_file_written_is_the_file_read(tmp_path: Path) -> None:
    """A written case file is read as what was written."""
    write_case_file(CASE, tmp_path / "a.case.json")
    assert read_case_file(tmp_path / "a.case.json") == CASE


def test_byte_order_mark_is_no_matter(tmp_path: Path) -> None:
    """Some editors put a mark before the text; it is still the same case."""
    path = tmp_path / "a.case.json"
    path.write_text(case_to_text(CASE), encoding="utf-8-sig")
    assert read_case_file(path) == CASE


def test_existing_file_is_never_overwritten(tmp_path: Path) -> None:
    """Exporting to a name that is taken leaves the file there as it is."""
    path = tmp_path / "a.case.json"
    path.write_text("mine")
    with pytest.raises(ExportError, match="file of this name"):
        write_case_file(CASE, path)
    assert path.read_text() == "mine"


def test_export_to_no_folder_says_so(tmp_path: Path) -> None:
    """A place that isn't there is told, with what to do."""
    for name in ("nowhere/a.case.json", "a\0b"):
        with pytest.raises(ExportError, match="Choose another folder"):
            write_case_file(CASE, tmp_path / name)


def test_export_too_big_to_read_again_is_refused(tmp_path: Path) -> None:
    """No file is written that could not be imported."""
    notes = (Noted("x" * 20_000, at=AT),) * (MOST_BYTES // 20_000 + 1)
    with pytest.raises(ExportError, match="more than"):
        write_case_file(CaseFile("c-1", (*ONE_OF_EACH, *notes)), tmp_path / "a.case.json")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 0.9, 0.99])
def test_file_cut_short_is_refused(tmp_path: Path, share: float) -> None:
    """A download that broke off is told as such and never read in part."""
    text = case_to_text(CASE)
    path = tmp_path / "cut.case.json"
    path.write_text(text[: int(len(text) * share)])
    with pytest.raises(CaseError, match=r"cut\.case\.json.*no whole JSON"):
        read_case_file(path)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("{}", "no case file"),
        ("[1]", "no case file"),
        (with_changes(benchtrail_case=5), "version 5.*Update benchtrail"),
        (with_changes(benchtrail_case="1"), "version of the case file is '1'"),
        (with_changes(benchtrail_case=True), "version of the case file is True"),
        (with_changes(benchtrail_case=0), "version of the case file is 0"),
        (with_changes(events={}), "no list of events"),
        (with_changes(events=[]), "no events"),
        (with_changes(events=[event_with()]), "no intake"),
        (with_changes(id=7), "id of the case is 7"),
        (with_changes(id="\x1b[2J"), r"id of the case is '.x1b"),
        (with_changes(id="../../etc"), "id of the case is"),
        (with_changes(id="--help"), "id of the case is"),
        (with_changes(secret=1), "`secret` is not known"),
        (with_changes(events=[1]), "event 1: An event is not an object"),
        (with_changes(events=[event_with(kind="exploded")]), "event 1.*'exploded'"),
        (with_changes(events=[event_with(symptom=5)]), "event 1.*`symptom` is no text"),
        (with_changes(events=[event_with(symptom="\u202e")]), r"event 1.*U\+202E"),
    ],
)
def test_wrong_case_file_is_refused_plainly(text: str, found: str) -> None:
    """Each slip gets one message that says which event it is in and can't act on a terminal."""
    with pytest.raises(CaseError, match=found) as caught:
        case_from_text(text)
    assert str(caught.value).isprintable()


@pytest.mark.parametrize(
    ("junk", "found"),
    [
        (b"\xff\x00" * 2_500_000, "no UTF-8"),
        (b"[" * 5_000_000, "nested beyond measure"),
        (b'{"a":' * 1_000_000, "nested beyond measure"),
        (b"7" * 5_000_000, "out of all range"),
        (b"x" * 5_000_000, "no whole JSON"),
        (b" " * (MOST_BYTES + 1), "more than"),
    ],
    ids=["bytes", "brackets", "braces", "digits", "letters", "too_big"],
)
def test_megabytes_of_junk_are_refused(tmp_path: Path, junk: bytes, found: str) -> None:
    """Junk of any size is one message."""
    path = tmp_path / "junk.case.json"
    path.write_bytes(junk)
    with pytest.raises(CaseError, match=found):
        read_case_file(path)


@pytest.mark.parametrize("name", ["missing.case.json", ".", "/dev/zero", "a\x1bb", "a\0b"])
def test_what_cannot_be_read_is_told(tmp_path: Path, name: str) -> None:
    """A file that is not there, a folder and a device are told without a traceback."""
    with pytest.raises(CaseError) as caught:
        read_case_file(tmp_path / name)
    assert caught.value.do
    assert str(caught.value).isprintable()
