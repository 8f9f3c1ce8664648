"""Numbers as people type them."""

from __future__ import annotations

from math import isfinite

from diag.errors import CaseError


def number_of(typed: str) -> float:
    """A number with a decimal point or comma.

    Raises:
        CaseError: it is none, or no finite one.
    """
    value = finite(typed)
    if value is None:
        found = f"'{typed}' is no number." if typed.strip() else "There is no number yet."
        raise CaseError(found, do="Type digits, with a minus, point or comma where needed.")
    return value


def finite(typed: str) -> float | None:
    """A finite number with a decimal point or comma, or None."""
    try:
        value = float(typed.strip().replace(",", "."))
    except ValueError:
        return None
    return value if isfinite(value) else None
