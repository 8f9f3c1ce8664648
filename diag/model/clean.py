"""Text from files made safe for the two marked-up formats."""

from __future__ import annotations

import re
from html import escape

_ANYWHERE = re.compile(r"[\\`*_\[\]<>|~&]")
_AT_BEGINNING = re.compile(r"^(\d*)([-=+#.)])")


def plain(text: str) -> str:
    """One line without control and direction characters: a space stands for each."""
    return "".join(sign if sign.isprintable() else " " for sign in text).strip()


def html_text(text: str) -> str:
    """One plain line, with everything escaped that a browser could take for markup."""
    return escape(plain(text))


def markdown_text(text: str) -> str:
    """One plain line, with everything escaped that Markdown could take for markup.

    At the beginning of a line some signs, or a number with a point, would make a list, a rule or
    a heading; elsewhere they are left as they are, so that the text can be read unrendered.
    """
    return _AT_BEGINNING.sub(r"\1\\\2", _ANYWHERE.sub(r"\\\g<0>", plain(text)))
