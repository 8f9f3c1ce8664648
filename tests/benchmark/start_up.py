"""Time from the command to the first screen, against a bare import of the library's app module."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

RUNS = 9

BARE = "import time, textual.app; print(time.time())"
FIRST_SCREEN = """
import sys, time
from pathlib import Path
from diag.reading.location import shipped
from screens.app import BenchtrailApp

async def leave(pilot):
    print(time.time())
    pilot.app.exit()

BenchtrailApp(Path(sys.argv[1]), shipped()).run(headless=True, auto_pilot=leave)
"""


def seconds(code: str, *arguments: str) -> float:
    """Median time from the start of a fresh interpreter until it prints the time."""
    taken = []
    environment = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1"}
    for _ in range(RUNS):
        begin = time.time()
        done = subprocess.run(
            [sys.executable, "-c", code, *arguments],
            check=True,
            env=environment,
            capture_output=True,
            text=True,
        )
        taken.append(float(done.stdout.split()[-1]) - begin)
    return median(taken)


def main() -> None:
    """Print both times and their ratio; the goal is at most 2."""
    with tempfile.TemporaryDirectory() as folder:
        store = str(Path(folder) / "cases.sqlite3")
        seconds_first = seconds(FIRST_SCREEN, store)
    seconds_bare = seconds(BARE)
    print(f"bare import of textual.app       {seconds_bare * 1e3:8.0f} ms")
    print(f"start to first screen            {seconds_first * 1e3:8.0f} ms")
    print(f"ratio                            {seconds_first / seconds_bare:8.2f} (goal: 2 or less)")
