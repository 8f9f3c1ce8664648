"""What somebody may have meant by an id that does not exist."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches


def nearest(word: str, known: Iterable[str]) -> str:
    """A sentence that names the nearest known id, or all of them if they are few; else empty."""
    ids = list(known)
    close = get_close_matches(word, ids, n=1, cutoff=0.6)
    if close:
        return f"Did you mean '{close[0]}'?"
    return f"There are: {', '.join(ids)}." if 0 < len(ids) <= 12 else ""
