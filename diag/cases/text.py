"""Which text and numbers an event may hold.

Everything that a case holds is checked here on its way in, so that whatever lies in a store can be
shown, exported and imported again.
"""

from __future__ import annotations

from math import inf, isfinite
from unicodedata import bidirectional, category

from diag.errors import CaseError

LONGEST_LINE = 200
"""Characters of a name or an id."""
LONGEST_TEXT = 20_000
"""Characters of a story or a note: some ten printed pages."""

_TURNS_WRITING = {"LRE", "RLE", "PDF", "LRO", "RLO", "LRI", "RLI", "FSI", "PDI"}


def check_line(text: object, what: str) -> None:
    """Refuse what is no single line of 1 to `LONGEST_LINE` visible characters."""
    _check(text, what, LONGEST_LINE, breaks="")
    if not str(text).strip():
        raise CaseError(f"The {what} is empty.", do=f"Give the {what}.")


def check_text(text: object, what: str) -> None:
    """Refuse what is no text, is longer than `LONGEST_TEXT` or hides control characters."""
    _check(text, what, LONGEST_TEXT, breaks="\n\t")


def check_number(value: object, what: str) -> float:
    """The value as a float, which must be finite; anything else is refused."""
    # bool is an int to Python; a `true` in a case file is a slip and not a 1.
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise CaseError(f"The {what} is no number.", do="Give it as a plain decimal number.")
    try:
        number = float(value)
    except OverflowError:
        number = inf
    if not isfinite(number):
        raise CaseError(f"The {what} is not a finite number.", do="Give what the meter reads.")
    return number


def visible(text: str) -> str:
    """The text with whatever could act on a terminal written as an escape."""
    return "".join(sign if sign.isprintable() else ascii(sign)[1:-1] for sign in text)


def _check(text: object, what: str, longest: int, breaks: str) -> None:
    if not isinstance(text, str):
        raise CaseError(f"The {what} is no text.", do="Put it between quotes.")
    if len(text) > longest:
        raise CaseError(
            f"The {what} has {len(text)} characters; {longest} are allowed.", do="Shorten it."
        )
    bad = next((sign for sign in text if sign not in breaks and _is_hidden(sign)), None)
    if bad is not None:
        raise CaseError(
            f"The {what} holds the control character U+{ord(bad):04X}.", do="Take it out."
        )


def _is_hidden(sign: str) -> bool:
    """Control characters, halves of characters, line separators, and what turns writing round."""
    return category(sign) in {"Cc", "Cs", "Zl", "Zp"} or bidirectional(sign) in _TURNS_WRITING
