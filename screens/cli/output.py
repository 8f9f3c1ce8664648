"""Plain text for a terminal: data to stdout, talk to stderr, nothing that steers the terminal."""

from __future__ import annotations

import sys
from unicodedata import category


def printable(text: str) -> str:
    """Text from a file without control characters other than line ends and tabs."""
    return "".join(c if c in "\n\t" or category(c) not in ("Cc", "Cf") else "\ufffd" for c in text)


def say(text: str = "") -> None:
    """A line of data."""
    print(printable(text))


def tell(text: str) -> None:
    """A line of talk."""
    print(printable(text), file=sys.stderr)
