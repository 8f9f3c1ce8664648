"""Entries that have a file each and are called by its name: shipped ones and the user's own."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from pathlib import Path
from typing import TypeVar

from diag.errors import BenchtrailError, KnowledgeError, Problem
from diag.model.figures import Entry
from diag.model.nearest import nearest
from diag.reading.build import Builder, Findings
from diag.reading.yaml_nodes import Node, read_yaml

Found = TypeVar("Found", bound=Entry)


def files_in(folder: str, root: Path, additions: Path | None = None) -> Mapping[str, Path]:
    """The files of a folder by name; one among the additions replaces a shipped one."""
    return {
        path.stem: path
        for place in (root, additions)
        if place is not None
        for path in sorted((place / folder).glob("*.yaml"))
    }


def file_named(name: str, known: Mapping[str, Path], what: str) -> Path:
    """The file of an entry that is given by its name, or by the path of its file.

    Raises:
        BenchtrailError: there is none of that name; names the nearest that there is.
    """
    if name in known:
        return known[name]
    if Path(name).suffix in (".yaml", ".yml"):
        return Path(name)
    do = nearest(name, known) or "Give its YAML file."
    raise BenchtrailError(f"there is no {what} '{name}'.", do=do)


def read_lone(
    path: Path,
    kind: type[Found],
    refuse: type[KnowledgeError],
    sources: Collection[str] = (),
    check: Callable[[Found, Node, Findings], None] = lambda found, tree, findings: None,
) -> Found:
    """The entry that is a whole file.

    Args:
        path: the file; its name is the id.
        kind: of entry.
        refuse: the error for a file that can't be used.
        sources: ids of sources that it may refer to.
        check: adds what else is wrong with it, given its tree of YAML.

    Raises:
        KnowledgeError: of the kind `refuse`, with every problem of the file.
    """
    tree, problems = read_yaml(path, str(path))
    findings = Findings(list(problems))
    if tree is None:
        empty = Problem(str(path), 1, "the file is empty.", "Begin with `says: ...`.")
        raise refuse(problems or (empty,))
    found = Builder(str(path), findings).entry(tree, kind, path.stem)
    for use in findings.uses:
        if use.id not in sources:
            told = f"'{use.id}' is not in sources."
            findings.problem(use.origin, told, nearest(use.id, sources))
    if isinstance(found, kind):
        check(found, tree, findings)
    if findings.problems or not isinstance(found, kind):
        raise refuse(tuple(findings.problems))
    return found
