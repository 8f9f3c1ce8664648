"""A compiled tree to a file that was not there before."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from diag.cases.new_file import write_new_file
from diag.planning.tree.html import html
from diag.planning.tree.markdown import markdown
from diag.planning.tree.plain import plain_text
from diag.planning.tree.values import Tree

RENDERERS: Mapping[str, Callable[[Tree], str]] = {
    "tree": plain_text,
    "md": markdown,
    "html": html,
}
"""What lays a tree out, by the name of the format."""


def write(tree: Tree, form: str, path: Path) -> None:
    """Write a tree whole or not at all; never over a file.

    Args:
        tree: what to write.
        form: one of `RENDERERS`.
        path: the file to make.

    Raises:
        ExportError: there is such a file, or it can't be written.
    """
    write_new_file(path, RENDERERS[form](tree).encode("utf-8"), "tree")
