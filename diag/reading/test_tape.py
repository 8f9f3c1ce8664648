"""Descriptions of test tapes: one YAML file each, shipped or the user's own."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from diag.errors import BenchtrailError, KnowledgeError, Problem
from diag.model.nearest import nearest
from diag.model.test_tape import TestTape
from diag.reading.build import NOT_BUILT, Builder, Findings
from diag.reading.location import TEST_TAPES
from diag.reading.yaml_nodes import read_yaml


def known_tapes(root: Path, additions: Path | None = None) -> Mapping[str, Path]:
    """The files of the tapes by name; a tape among the additions replaces a shipped one."""
    return {
        path.stem: path
        for place in (root, additions)
        if place is not None
        for path in sorted((place / TEST_TAPES).glob("*.yaml"))
    }


def read_tape(path: Path) -> TestTape:
    """The tape that a file describes.

    Raises:
        KnowledgeError: with every problem of the file.
    """
    tree, problems = read_yaml(path, str(path))
    findings = Findings(list(problems))
    if tree is None:
        empty = Problem(str(path), 1, "the file is empty.", "Begin with `says: ...`.")
        raise KnowledgeError(problems or (empty,))
    tape = Builder(str(path), findings).entry(tree, TestTape, path.stem)
    if findings.problems or tape is NOT_BUILT:
        raise KnowledgeError(tuple(findings.problems))
    assert isinstance(tape, TestTape)
    return tape


def find_tape(root: Path, name: str, additions: Path | None = None) -> TestTape:
    """A tape by its name, or by the path of its file.

    Raises:
        BenchtrailError: there is none of that name; names the nearest that there is.
        KnowledgeError: its file has problems.
    """
    known = known_tapes(root, additions)
    if name in known:
        return read_tape(known[name])
    if Path(name).suffix == ".yaml":
        return read_tape(Path(name))
    do = nearest(name, known) or f"Write its description into {TEST_TAPES}/{name}.yaml."
    raise BenchtrailError(f"there is no test tape '{name}'.", where=str(root), do=do)
