"""A plain bench that is killed loses nothing that was answered."""

from __future__ import annotations

import shutil
import signal
import subprocess
import sys
from pathlib import Path

from small_case import small_shelf

from diag.cases.store import CaseStore
from diag.session.shelf import Shelf

RUN = "from screens.cli.main import run; run()"
INTAKE = ["Deck", "2", "45", ".", ""]
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


def left_behind(store: Path, folder: Path) -> Path:
    """The files of a store as a kill at this moment leaves them: what the process holds is lost."""
    folder.mkdir()
    for file in store.parent.glob(f"{store.name}*"):
        shutil.copy(file, folder)
    return folder / store.name


def test_kill_between_any_two_answers_loses_nothing(tmp_path: Path) -> None:
    """The files have at each prompt all that was typed before; at the last the kill is real."""
    small_shelf(tmp_path)
    knowledge, store = tmp_path / "knowledge", tmp_path / "killed" / "cases.sqlite3"
    call = [sys.executable, "-c", RUN, "ask", "--knowledge", str(knowledge), "--store", str(store)]
    left = []
    with subprocess.Popen(call, stdin=-1, stdout=-1, text=True, bufsize=1) as child:
        assert child.stdin is not None
        for line in (*INTAKE, SCRIPT[0]):
            wait_for_prompt(child)
            child.stdin.write(f"{line}\n")
        for line in SCRIPT[1:]:
            wait_for_prompt(child)
            left.append(left_behind(store, tmp_path / f"{len(left)}"))
            child.stdin.write(f"{line}\n")
        wait_for_prompt(child)
        child.send_signal(signal.SIGKILL)
    assert child.returncode == -signal.SIGKILL
    found = []
    for each in (*left, store):
        (case,) = CaseStore(each).cases()
        found.append(case.events)
        assert Shelf(each, knowledge).reopen(case.id).snapshot.assessment is not None
    assert found == EVENTS
