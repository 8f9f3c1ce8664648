"""Plain text for a terminal: data to stdout, talk to stderr, nothing that steers the terminal."""

from __future__ import annotations

import sys
from textwrap import wrap
from unicodedata import category

from diag.errors import KnowledgeError

WIDTH = 78
"""Columns of what is read on a dumb terminal."""


def printable(text: str) -> str:
    """Text from a file without control characters other than line ends and tabs."""
    return "".join(c if c in "\n\t" or category(c) not in ("Cc", "Cf") else "\ufffd" for c in text)


def say(text: str = "") -> None:
    """A line of data."""
    print(printable(text))


def say_wrapped(text: str, indent: str = "") -> None:
    """Lines of data, broken at `WIDTH`; what follows the first of a line is indented below it."""
    deeper = indent + "  "
    for line in text.splitlines() or [""]:
        for part in wrap(line, WIDTH, initial_indent=indent, subsequent_indent=deeper) or [""]:
            say(part)


def tell_problems(error: KnowledgeError) -> None:
    """Every problem of a book, and what it means."""
    for problem in error.problems:
        tell(str(problem))
    tell(f"{error.summary}: {len(error.problems)} problem(s).")


def tell(text: str) -> None:
    """A line of talk."""
    print(printable(text), file=sys.stderr)
