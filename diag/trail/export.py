"""A trail to a file that was not there before."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from pathlib import Path

from diag.cases.new_file import write_new_file
from diag.errors import ExportError
from diag.trail.html import html
from diag.trail.json_file import json_text
from diag.trail.markdown import markdown
from diag.trail.trail import Trail

FORMATS: Mapping[str, Callable[[Trail], str]] = {
    "markdown": markdown,
    "html": html,
    "json": json_text,
}

ENDINGS: Mapping[str, str] = {"markdown": ".md", "html": ".html", "json": ".json"}
"""How the files of each format end."""


def file_name(deck: str, ending: str) -> str:
    """A name for a file, from a deck's name: letters and digits, hyphens for all else."""
    stem = "-".join(re.findall(r"[a-z0-9]+", deck.lower())) or "deck"
    return stem[:60] + ending


def write(trail: Trail, form: str, path: Path) -> None:
    """Write a trail whole or not at all; never over a file.

    Args:
        trail: what to write.
        form: one of `FORMATS`.
        path: the file to make.

    Raises:
        ExportError: there is such a file, it can't be written, or there is no such format.
    """
    if form not in FORMATS:
        raise ExportError(f"There is no format '{form}'.", do=f"Choose {', '.join(FORMATS)}.")
    write_new_file(path, FORMATS[form](trail).encode("utf-8"), "trail")
