"""Files to start from can be read as they stand, and tell of every key."""

from __future__ import annotations

from pathlib import Path

import pytest

from diag.errors import BenchtrailError
from diag.linting.doubts import doubts
from diag.reading.book import read_book
from diag.reading.draft import SECTIONS
from diag.reading.location import families, shipped
from diag.reading.shape import Record
from diag.reading.template import FAMILY, from_template, kinds

OF_ENTRIES = tuple(kind for kind in kinds() if kind != FAMILY)


def section(kind: str) -> str:
    """The section that a kind of entry stands in."""
    return "remedies" if kind == "remedy" else f"{kind}s"


@pytest.mark.parametrize("family", families(shipped()))
def test_files_can_be_read_as_they_stand(tmp_path: Path, family: str) -> None:
    """Laid over any shipped book they add their entries and no problem."""
    book = read_book(shipped(), family)
    (tmp_path / family).mkdir()
    for kind in OF_ENTRIES:
        text = from_template(kind, f"my_{kind}", book)
        assert "<" not in text
        (tmp_path / family / f"{kind}.yaml").write_text(text, encoding="utf-8")
    laid = read_book(shipped(), family, tmp_path)
    assert all(f"my_{kind}" in getattr(laid, section(kind)) for kind in OF_ENTRIES)


@pytest.mark.parametrize("kind", OF_ENTRIES)
def test_every_key_is_told(kind: str) -> None:
    """A key that the format gets must be told here, too."""
    text = from_template(kind, "of_mine", None)
    for part in Record(SECTIONS[section(kind)]).parts:
        assert f"{part.key}:" in text, part.key


def test_every_kind_has_a_file() -> None:
    """Facts are few and stand with the rules that use them; all other sections have one."""
    assert {section(kind) for kind in OF_ENTRIES} == set(SECTIONS) - {"facts"}


def test_family_is_one_without_doubts(tmp_path: Path) -> None:
    """It reads alone, every figure has its basis, and each danger its caution."""
    (tmp_path / "dictation").mkdir()
    text = from_template(FAMILY, "dictation", None)
    (tmp_path / "dictation" / "family.yaml").write_text(text, encoding="utf-8")
    codes = {doubt.code for doubt in doubts(read_book(tmp_path, "dictation"))}
    # It has no walk yet, its one check is the powered one, and that is said.
    assert codes <= {"B09", "B18"}


@pytest.mark.parametrize(("kind", "name"), [("belt", "mine"), ("cause", "My belt"), ("cause", "")])
def test_wrong_call_is_told(kind: str, name: str) -> None:
    """An unknown kind and a name that is no id."""
    with pytest.raises(BenchtrailError):
        from_template(kind, name, None)
