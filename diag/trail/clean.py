"""Text from files made safe for the two marked-up formats."""

from __future__ import annotations

import re
from unicodedata import category

_MARKDOWN = re.compile(r"([\\`*_{}\[\]()<>#+!|~])")


def plain(text: str) -> str:
    """Without control and direction characters; line ends become spaces."""
    return "".join(c if category(c) not in ("Cc", "Cf") else " " for c in text).strip()


def markdown_text(text: str) -> str:
    """The same, with everything escaped that Markdown could take for markup."""
    escaped = _MARKDOWN.sub(r"\\\1", plain(text))
    # A number or a dash at the beginning would make a list.
    return re.sub(r"^(\d+)([.)])", r"\1\\\2", re.sub(r"^([-=])", r"\\\1", escaped))
