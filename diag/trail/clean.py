"""Text from files made safe for the two marked-up formats."""

from __future__ import annotations

import re

_MARKUP = re.compile(r"([\\`*_{}\[\]()<>#+!|~&])")
_LIST = re.compile(r"^(\d+)([.)])")


def plain(text: str) -> str:
    """One line without control and direction characters: a space stands for each."""
    return "".join(sign if sign.isprintable() else " " for sign in text).strip()


def markdown_text(text: str) -> str:
    """The same, with everything escaped that Markdown could take for markup."""
    escaped = _MARKUP.sub(r"\\\1", plain(text))
    # At the beginning of a line these would make a list, a rule or a heading of the line above.
    return _LIST.sub(r"\1\\\2", re.sub(r"^([-=])", r"\\\1", escaped))
