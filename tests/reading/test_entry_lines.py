"""The lines of one entry, as they stand in its file."""

from __future__ import annotations

from pathlib import Path

import pytest

from diag.errors import BenchtrailError
from diag.reading.entry_lines import entry_lines

TEXT = """\
# The file.
basis:
  prior: judgement   # all of them
causes:
  # the first
  belt:
    says: Belt
    # a note within
    prior: 0.1

  # the second
  motor: {says: Motor, prior: 0.2}
rules:
  - id: strap
    when: {fact: hz}
  - id: alone
    when: {fact: hz}
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A file with comments between and within its entries."""
    path = tmp_path / "file.yaml"
    path.write_text(TEXT, encoding="utf-8")
    return path


def test_entry_ends_before_the_notes_of_the_next(file: Path) -> None:
    """Notes within it stay."""
    text = "  belt:\n    says: Belt\n    # a note within\n    prior: 0.1\n"
    assert entry_lines(file, "causes", "belt") == (6, text)
    assert entry_lines(file, "causes", "motor") == (12, "  motor: {says: Motor, prior: 0.2}\n")


def test_rule_is_found_by_its_id(file: Path) -> None:
    """Rules stand in a list."""
    assert entry_lines(file, "rules", "strap") == (14, "  - id: strap\n    when: {fact: hz}\n")


def test_whole_section(file: Path) -> None:
    """Up to the next section."""
    assert entry_lines(file, "basis") == (2, "basis:\n  prior: judgement   # all of them\n")


def test_what_is_not_there_is_told(file: Path) -> None:
    """By name."""
    with pytest.raises(BenchtrailError, match="idler"):
        entry_lines(file, "causes", "idler")
