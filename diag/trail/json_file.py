"""A trail as JSON."""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import datetime

from diag.trail.trail import Trail

FORMAT = 1
"""Raised when a key changes its meaning or goes."""


def json_text(trail: Trail) -> str:
    """The whole document: `{"benchtrail_trail": 1, ...}` with the fields of `Trail`.

    `is_addition` is true of what comes from the user's own additions to the book.
    """
    plain = {"benchtrail_trail": FORMAT, **asdict(trail)}
    return json.dumps(plain, indent=2, ensure_ascii=False, default=_plain) + "\n"


def _plain(value: object) -> str:
    if isinstance(value, datetime):
        return value.isoformat()
    raise TypeError(f"{type(value).__name__} has no place in a trail")
