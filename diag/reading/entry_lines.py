"""The lines of a file in which an entry or a section stands, to start a changed one from."""

from __future__ import annotations

from pathlib import Path

from diag.errors import BenchtrailError
from diag.reading.yaml_nodes import Node, read_yaml


def entry_lines(path: Path, section: str, name: str = "") -> tuple[int, str]:
    """(line from 1, text) of an entry, or of a whole section if no name is given.

    The text is what stands in the file with its indents and the comments among its lines, so that
    it can stand in another file.

    Raises:
        BenchtrailError: the file has no such entry, or can't be read.
    """
    tree, problems = read_yaml(path, str(path))
    if tree is None:
        raise BenchtrailError(problems[0].found, where=f"{path}:{problems[0].line}")
    starts = _starts(tree)
    for number, (line, where) in enumerate(starts):
        if where == (section, name):
            after = (at for at, (_, other) in starts[number + 1 :] if name or not other)
            text = path.read_text(encoding="utf-8").splitlines(keepends=True)
            return line, "".join(_without_tail(text[line - 1 : next(after, len(text) + 1) - 1]))
    raise BenchtrailError(f"there is no '{name or section}'.", where=str(path))


def _starts(tree: Node) -> list[tuple[int, tuple[str, str]]]:
    """The line on which each section and each entry begins; a section has no name."""
    found = []
    for key, value in tree.pairs:
        section = str(key.scalar)
        found.append((key.line, (section, "")))
        for name, _ in value.pairs:
            found.append((name.line, (section, str(name.scalar))))
        for item in value.items:
            named = [str(v.scalar) for k, v in item.pairs if k.scalar == "id"]
            found += [(item.line, (section, each)) for each in named]
    return found


def _without_tail(lines: list[str]) -> list[str]:
    """Without the empty lines and comments at the end, which belong to what comes next."""
    kept = len(lines)
    while kept and (not lines[kept - 1].strip() or lines[kept - 1].lstrip().startswith("#")):
        kept -= 1
    return lines[:kept]
