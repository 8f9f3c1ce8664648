"""JSON as text and back, strictly: what another reader would let pass or drop is refused."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from diag.cases.text import visible
from diag.errors import CaseError

Plain = Mapping[str, Any]
"""What JSON calls an object."""


def dump_line(plain: Plain) -> str:
    """JSON on one line; the same value always gives the same line."""
    return json.dumps(plain, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def dump_page(plain: Plain) -> str:
    """JSON for a file, one value a line, so that two versions of it can be compared by line."""
    return json.dumps(plain, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def load_json(text: str) -> object:
    """The value that a text of JSON holds.

    Raises:
        CaseError: it is no JSON, is nested beyond measure, has a key twice or a number that is
            none.
    """
    try:
        return json.loads(text, object_pairs_hook=_object, parse_constant=_no_number)
    except json.JSONDecodeError as error:
        raise CaseError(
            f"It is no whole JSON: it breaks off or goes wrong at line {error.lineno}, "
            f"column {error.colno}.",
            do="Copy or export the file again.",
        ) from error
    except RecursionError as error:
        raise CaseError("It is nested beyond measure.", do="Export the file again.") from error
    except ValueError as error:  # a whole number of thousands of digits
        raise CaseError("It holds a number out of all range.", do="Correct it.") from error


def shown(value: object) -> str:
    """A value of a file in quotes: short, and with nothing that could act on a terminal."""
    if value is None or isinstance(value, bool | int | float):
        return str(value)
    return f"'{visible(value)[:60]}'" if isinstance(value, str) else f"a {type(value).__name__}"


def shown_key(key: str) -> str:
    """A key of a file between backticks, on the same terms."""
    return f"`{visible(key)[:60]}`"


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise CaseError(f"The key {shown_key(key)} is given twice.", do="Keep one of the two.")
        found[key] = value
    return found


def _no_number(word: str) -> float:
    raise CaseError(f"It holds {word}, which is no number.", do="Give a finite number.")
