"""A trail to a file that was not there before."""

from __future__ import annotations

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
