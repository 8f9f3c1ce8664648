"""Descriptions of test tapes: one YAML file each, shipped or the user's own."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from diag.errors import KnowledgeError
from diag.model.test_tape import TestTape
from diag.reading.location import TEST_TAPES
from diag.reading.lone_file import file_named, files_in, read_lone


def known_tapes(root: Path, additions: Path | None = None) -> Mapping[str, Path]:
    """The files of the tapes by name; a tape among the additions replaces a shipped one."""
    return files_in(TEST_TAPES, root, additions)


def read_tape(path: Path) -> TestTape:
    """The tape that a file describes.

    Raises:
        KnowledgeError: with every problem of the file.
    """
    return read_lone(path, TestTape, KnowledgeError)


def find_tape(root: Path, name: str, additions: Path | None = None) -> TestTape:
    """A tape by its name, or by the path of its file.

    Raises:
        BenchtrailError: there is none of that name; names the nearest that there is.
        KnowledgeError: its file has problems.
    """
    return read_tape(file_named(name, known_tapes(root, additions), "test tape"))
