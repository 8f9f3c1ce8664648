"""Writes the golden files anew, after a format was changed on purpose: run it, read the diff.

`PYTHONPATH=tests .venv/bin/python tests/trail/renew_golden.py`
"""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from small_case import golden_trail

from diag.trail.export import ENDINGS, FORMATS

if __name__ == "__main__":
    with TemporaryDirectory() as folder:
        trail = golden_trail(Path(folder))
    for form, render in FORMATS.items():
        golden = Path(__file__).parent / "golden" / f"small_case{ENDINGS[form]}"
        golden.write_bytes(render(trail).encode())
