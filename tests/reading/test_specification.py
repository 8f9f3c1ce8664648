"""Specifications are read whole or refused with every problem."""

from __future__ import annotations

from pathlib import Path

import pytest

from diag.errors import BenchtrailError, SpecificationError
from diag.reading.location import shipped
from diag.reading.specification import (
    FALLBACK,
    find_specification,
    known_specifications,
    read_specification,
)

GOOD = """
says: My deck
source: from_memory
limits:
  speed_error_percent: {says: Speed, unit: '%', within: 0.5, tolerance: 0.1}
  erase_depth_db: {says: Erase, unit: dB, at_least: 65, source: common_practice}
"""


def test_every_shipped_one_can_be_read() -> None:
    """And is found by its name."""
    names = known_specifications(shipped())
    assert FALLBACK in names
    for name in names:
        assert find_specification(shipped(), name).id == name


def test_own_file_is_read(tmp_path: Path) -> None:
    """By its path, and by its name from a folder of additions."""
    (tmp_path / "specifications").mkdir()
    path = tmp_path / "specifications" / "mine.yaml"
    path.write_text(GOOD)
    found = find_specification(shipped(), str(path))
    assert found == find_specification(shipped(), "mine", tmp_path)
    speed, erase = found.limits.values()
    assert speed.allowed == pytest.approx((-0.6, 0.6))
    assert speed.in_words == "±0.5 (tolerance 0.1) %"
    assert (erase.source, speed.source, found.source) == ("common_practice", None, "from_memory")


def test_sizes_of_the_deck_are_read(tmp_path: Path) -> None:
    """By their keys; what can't be is told with its own line."""
    path = tmp_path / "mine.yaml"
    path.write_text(GOOD + "sizes:\n  capstan_mm: 2.4\n  poles: 4\n")
    assert read_specification(path, shipped()).sizes == {"capstan_mm": 2.4, "poles": 4}
    path.write_text(GOOD + "sizes:\n  capstan_mm: 24\n  capstn_mm: 2.4\n  poles: 3\n")
    with pytest.raises(SpecificationError) as caught:
        read_specification(path, shipped())
    told = [str(problem) for problem in caught.value.problems]
    assert "mine.yaml:8: capstan_mm is 24. Give 1 to 15; diameters in mm" in told[0]
    assert "mine.yaml:9: 'capstn_mm' is no size of a deck. Did you mean 'capstan_mm'?" in told[1]
    assert "mine.yaml:10: poles is 3." in told[2]
    assert len(told) == 3


def test_every_problem_is_told_with_its_line(tmp_path: Path) -> None:
    """In one run."""
    path = tmp_path / "mine.yaml"
    path.write_text(
        GOOD.replace("source: from_memory", "source: nobody")
        .replace("unit: dB", "unit: dBs")
        .replace("within: 0.5", "within: 0.5, atmost: 3")
    )
    with pytest.raises(SpecificationError) as caught:
        read_specification(path, shipped())
    told = [str(problem) for problem in caught.value.problems]
    assert len(told) == 3
    assert "mine.yaml:5: limits.speed_error_percent: unknown key 'atmost'." in told[0]
    assert "mine.yaml:3: 'nobody' is not in sources." in told[1]
    assert "mine.yaml:6: 'dBs' is no unit" in told[2]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "the file is empty"),
        ("says: x\nsource: from_memory\nlimits: {}\n", "it has no limits"),
        (GOOD.replace("unit: dB", "unit: dBs"), "'dBs' is no unit that is known here"),
        (GOOD.replace("within: 0.5", "within: 0.5, at_most: 1"), "one of at_most, at_least and"),
        (GOOD.replace("within: 0.5, ", ""), "one of at_most, at_least and within is wanted"),
        (GOOD.replace("says: My deck\n", ""), "the key 'says' is missing"),
        ("- 1\n", "a mapping is wanted"),
    ],
)
def test_bad_file_is_refused(tmp_path: Path, text: str, told: str) -> None:
    """With what is wrong."""
    path = tmp_path / "mine.yaml"
    path.write_text(text)
    with pytest.raises(SpecificationError, match=told):
        read_specification(path, shipped())


def test_unknown_name_is_told(tmp_path: Path) -> None:
    """With the nearest; a file that isn't there as well."""
    with pytest.raises(BenchtrailError, match="Did you mean 'din_45500'"):
        find_specification(shipped(), "din_4550")
    with pytest.raises(SpecificationError, match="can't be read"):
        find_specification(shipped(), str(tmp_path / "none.yaml"))
