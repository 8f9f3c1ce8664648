"""A trail as JSON."""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import datetime

from diag.trail.trail import Trail

FORMAT = 1
"""Raised when a key changes its meaning or goes."""

DIGITS = 12
"""Digits of a number. The last few of a posterior depend on the order in which it was summed, which
may differ between machines."""


def json_text(trail: Trail) -> str:
    """The whole document: `{"benchtrail_trail": 1, ...}` with the fields of `Trail`.

    `is_addition` is true of what comes from the user's own additions to the book.
    """
    plain = {"benchtrail_trail": FORMAT, **asdict(trail)}
    return json.dumps(_rounded(plain), indent=2, ensure_ascii=False, default=_plain) + "\n"


def _plain(value: object) -> str:
    if isinstance(value, datetime):
        return value.isoformat()
    raise TypeError(f"{type(value).__name__} has no place in a trail")


def _rounded(value: object) -> object:
    if isinstance(value, float):
        return float(f"{value:.{DIGITS}g}")
    if isinstance(value, dict):
        return {key: _rounded(of) for key, of in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(of) for of in value]
    return value
