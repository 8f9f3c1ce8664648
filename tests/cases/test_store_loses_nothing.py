from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from time import sleep

import pytest
from case_strategies import AT

from diag.cases.events import Event, Noted, TakenIn
from diag.cases.fold import fold
from diag.cases.store import CaseStore

CHILD = Path(__file__).parent / "bench_child.py"
INTAKE = TakenIn("A deck", "cassette", at=AT)


@pytest.fixture
def store(tmp_path: Path) -> CaseStore:
    """A new store."""
    return CaseStore(tmp_path / "cases.db")


def window(store: CaseStore, case_id: str, notes: int, limit: int = 0) -> subprocess.Popen[str]:
    """Start another process that writes notes into a case."""
    told = [str(store.path), case_id, str(notes), str(limit)]
    return subprocess.Popen(
        [sys.executable, str(CHILD), *told],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def check_notes(events: tuple[Event, ...]) -> None:
    """Every event but the intake is the note that was written at its number."""
    for number, event in enumerate(events[1:], start=2):
        assert isinstance(event, Noted)
        assert event.text.startswith(f"Note {number} ")


@pytest.mark.parametrize("wait_ms", [0, 0.3, 0.7, 1.1, 1.9, 3.1, 7.3, 17.0])
def test_kill_loses_nothing_that_was_told(store: CaseStore, wait_ms: float) -> None:
    """A process killed between two answers or within one has lost none that it had on disk."""
    case_id = store.create(INTAKE)
    child = window(store, case_id, notes=100_000)
    assert child.stdout is not None
    for _ in range(3):
        child.stdout.readline()
    sleep(wait_ms / 1000)
    child.kill()
    # Not `communicate`: it reads past what `readline` has taken in already, and loses that.
    with child:
        rest = child.stdout.read()
    acknowledged = 4 + len(rest.split())
    events = CaseStore(store.path).events(case_id)
    # The one that was under way may be there or not; it had not been promised.
    assert acknowledged <= len(events) <= acknowledged + 1
    check_notes(events)
    assert fold(events).last == len(events)
    assert store.append(case_id, Noted("On.", at=AT), after=len(events)) == len(events) + 1


def test_disk_that_takes_no_more_loses_nothing(store: CaseStore) -> None:
    """When the disk refuses a write, the person is told, and all told before is there."""
    case_id = store.create(INTAKE)
    child = window(store, case_id, notes=100_000, limit=200_000)
    out, err = child.communicate(timeout=30)
    assert child.returncode == 3, err
    assert "What was told before is kept." in err
    assert "Traceback" not in err
    numbers = [int(line) for line in out.split()]
    assert len(numbers) > 20
    events = store.events(case_id)
    assert len(events) == numbers[-1]
    check_notes(events)
    assert store.append(case_id, Noted("On.", at=AT), after=len(events)) == len(events) + 1


def test_two_windows_lose_nothing(store: CaseStore) -> None:
    """Two processes that write into one case take turns; every number is given once."""
    case_id = store.create(INTAKE)
    children = [window(store, case_id, notes=60) for _ in range(2)]
    numbers: list[int] = []
    for child in children:
        out, err = child.communicate(timeout=30)
        assert child.returncode == 0, err
        numbers += [int(line) for line in out.split()]
    assert sorted(numbers) == list(range(2, 122))
    check_notes(store.events(case_id))


def test_many_windows_may_make_the_store_at_once(tmp_path: Path) -> None:
    """Processes that start at one moment on no store all end with the same one."""
    code = (
        "import sys; from pathlib import Path; from diag.cases.store import CaseStore;"
        "from diag.cases.events import TakenIn; from datetime import datetime, UTC;"
        "sys.stdin.readline();"
        "CaseStore(Path(sys.argv[1])).create(TakenIn('a', 'b', at=datetime.now(UTC)))"
    )
    path = tmp_path / "data" / "cases.db"
    children = [
        subprocess.Popen(
            [sys.executable, "-c", code, str(path)],
            stdin=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(4)
    ]
    sleep(0.5)  # all of them wait for the line by now; if not, the test is only easier
    for child in children:
        assert child.stdin is not None
        child.stdin.write("\n")
        child.stdin.flush()
    for child in children:
        _, err = child.communicate(timeout=30)
        assert child.returncode == 0, err
    assert len(CaseStore(path).cases()) == 4
