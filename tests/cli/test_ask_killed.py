"""A plain bench that is killed loses nothing that was answered."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

from small_case import small_shelf

from diag.cases.store import CaseStore
from diag.session.shelf import Shelf

RUN = "from screens.cli.main import run; run()"
SCRIPT = ["1", "y", "o", "1", "size 60", "2", "2", "o", "0.3", "n", "done"]
"""What is typed after the intake; the number of events after each line stands below."""
EVENTS = [3, 4, 5, 5, 6, 7, 8, 9, 10, 10, 11]


def wait_for_prompt(child: subprocess.Popen[str]) -> None:
    """Read what the child prints until it asks for a line."""
    assert child.stdout is not None
    read = "\n"
    while not read.endswith("\n> "):
        sign = child.stdout.read(1)
        assert sign, f"the child has ended: {read}"
        read += sign


def test_kill_between_any_two_answers_loses_nothing(tmp_path: Path) -> None:
    """After each prompt the child is killed with -9; the case has all that was typed before."""
    small_shelf(tmp_path)
    call = [sys.executable, "-c", RUN, "ask", "--knowledge", str(tmp_path / "knowledge")]
    for count, expected in enumerate(EVENTS, start=1):
        store = tmp_path / f"{count}.sqlite3"
        child = subprocess.Popen(
            [*call, "--store", str(store)], stdin=-1, stdout=-1, text=True, bufsize=1
        )
        with child:
            assert child.stdin is not None
            for line in ("Deck", "2", "45", ".", "", *SCRIPT[:count]):
                wait_for_prompt(child)
                child.stdin.write(f"{line}\n")
            wait_for_prompt(child)
            child.send_signal(signal.SIGKILL)
        assert child.returncode == -signal.SIGKILL
        (case,) = CaseStore(store).cases()
        assert case.events == expected
        assert Shelf(store, tmp_path / "knowledge").reopen(case.id).snapshot.assessment is not None
