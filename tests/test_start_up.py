"""What is loaded when: the shelf must appear before anything heavy is imported."""

from __future__ import annotations

import subprocess
import sys

import pytest


@pytest.mark.parametrize(
    ("module", "light_of"),
    [
        ("screens.app", ("numpy", "durable", "yaml")),
        ("screens.cli.main", ("numpy", "durable", "textual")),
        ("diag.cases.store", ("numpy", "durable", "yaml", "textual")),
        ("diag.session.session", ("textual",)),
    ],
)
def test_import_stays_light(module: str, light_of: tuple[str, ...]) -> None:
    """Importing a front door loads none of these, by a clean interpreter's own account."""
    code = f"import sys, {module}; print([m for m in {light_of!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
