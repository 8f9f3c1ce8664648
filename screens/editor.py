"""The user's own editor for text files."""

from __future__ import annotations

import os
import shlex
import subprocess
from pathlib import Path
from shutil import which

from diag.errors import BenchtrailError

USUAL = ("nano", "vi")
"""Editors that are looked for where the user has named none."""
TAKE_A_LINE = frozenset({"nano", "vi", "vim", "nvim", "emacs"})
"""Editors that go to a line when it is given as `+7` before the file."""


def open_in_editor(path: Path, line: int = 1) -> None:
    """Open a file and wait until the editor is left.

    Raises:
        BenchtrailError: there is no editor, or it ended with an error.
    """
    named = os.environ.get("VISUAL") or os.environ.get("EDITOR")
    command = shlex.split(named) if named else [e for e in USUAL if which(e)][:1]
    if not command:
        raise BenchtrailError(
            "no editor is named.", do=f"Set EDITOR to the name of yours, or open {path} with it."
        )
    to_line = [f"+{line}"] if Path(command[0]).name in TAKE_A_LINE else []
    try:
        code = subprocess.run([*command, *to_line, str(path)], check=False).returncode
    except OSError as error:
        raise BenchtrailError(
            f"the editor can't be started: {error.strerror}.",
            where=command[0],
            do="Set EDITOR to the name of yours.",
        ) from error
    if code:
        raise BenchtrailError(
            f"the editor ended with code {code}.", where=command[0], do=f"See what is in {path}."
        )
