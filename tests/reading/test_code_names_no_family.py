"""The engine and the screens serve any family: none is named in code, only in knowledge."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import diag
import screens
from diag.reading.location import families, shipped

CODE = sorted(
    path for package in (diag, screens) for path in Path(package.__path__[0]).rglob("*.py")
)


def named(source: str, family: str) -> list[int]:
    """Lines in which a name or a text of the code has the family as a word of its own.

    Docstrings and comments are for people, who may be told on what something was measured.
    """
    words = re.compile(rf"(?<![a-z0-9]){re.escape(family)}(?![a-z0-9])", re.IGNORECASE)
    return [line for line, text in _texts(ast.parse(source)) if words.search(text)]


def _texts(tree: ast.Module) -> Iterator[tuple[int, str]]:
    docstrings = {
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    for node in ast.walk(tree):
        line = getattr(node, "lineno", 0)
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            if node not in docstrings:
                yield line, node.value
            continue
        for field in ("id", "attr", "name", "arg", "module"):
            if isinstance(text := getattr(node, field, None), str):
                yield line, text


def test_there_are_families_and_code_to_look_at() -> None:
    """Else the next test would say nothing."""
    assert families(shipped())
    assert len(CODE) > 100


@pytest.mark.parametrize("family", families(shipped()))
def test_code_names_no_family(family: str) -> None:
    """Not in a text, not in a name, not in the name of a file."""
    found = [f"{path}:{n}" for path in CODE for n in named(path.read_text("utf-8"), family)]
    assert not found
    assert not [path for path in CODE if family in path.stem.split("_")]


@pytest.mark.parametrize(
    ("source", "lines"),
    [
        ("x = 1\nif book.family == 'tape': x = 2", [2]),
        ("tape_hubs = 3", [1]),
        ("def f(tape): return tape", [1, 1]),
        ("from tape import x", [1]),
        ('"""Measured on the tape book."""\nx = 1  # tape', []),
        ("tapes = 'tapestry'", []),
    ],
)
def test_search_finds_what_it_should(source: str, lines: list[int]) -> None:
    """Texts and names, but neither docstrings nor longer words."""
    assert named(source, "tape") == lines
