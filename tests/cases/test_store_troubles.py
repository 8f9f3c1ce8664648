from __future__ import annotations

import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from case_strategies import AT

from diag.cases import store as store_module
from diag.cases.events import Noted, TakenIn
from diag.cases.migrations import MIGRATIONS
from diag.cases.store import CaseStore
from diag.cases.text import visible
from diag.cases.troubles import explain
from diag.errors import StoreError

INTAKE = TakenIn("A deck", "cassette", at=AT)


def filled_store(path: Path, notes: int = 60) -> str:
    """Make a store of several pages with one case; returns the case's id."""
    store = CaseStore(path)
    case_id = store.create(INTAKE)
    for number in range(1, notes):
        store.append(case_id, Noted("x" * 500, at=AT), after=number)
    return case_id


def refused(path: Path) -> StoreError:
    """The error with which a store is refused."""
    with pytest.raises(StoreError) as caught:
        CaseStore(path)
    assert visible(path.name) in caught.value.where
    assert caught.value.do
    assert str(caught.value).isprintable()
    return caught.value


@pytest.mark.parametrize("data", [b"Dear diary, " * 100, b"SQLite format 3\0" + b"\xff" * 5000])
def test_foreign_file_is_refused_and_stays(tmp_path: Path, data: bytes) -> None:
    """A file that is no store is named as such and not a byte of it changes."""
    path = tmp_path / "cases.db"
    path.write_bytes(data)
    assert "no case store" in refused(path).found
    assert path.read_bytes() == data


def test_database_of_another_program_is_refused(tmp_path: Path) -> None:
    """A sound database that is not ours gets no tables of ours."""
    path = tmp_path / "music.db"
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("CREATE TABLE songs (name TEXT)")
    assert "another program" in refused(path).found
    with closing(sqlite3.connect(path)) as connection:
        tables = connection.execute("SELECT name FROM sqlite_master").fetchall()
    assert tables == [("songs",)]


@pytest.mark.parametrize("share", [0.01, 0.3, 0.6, 0.95])
def test_torn_store_is_refused(tmp_path: Path, share: float) -> None:
    """A store of which a part is missing is not read in part."""
    path = tmp_path / "cases.db"
    filled_store(path)
    data = path.read_bytes()
    path.write_bytes(data[: int(len(data) * share)])
    assert "damaged" in refused(path).found


def test_store_with_a_page_of_junk_is_refused(tmp_path: Path) -> None:
    """Damage in the middle is found when the store is opened and not months later."""
    path = tmp_path / "cases.db"
    filled_store(path)
    data = bytearray(path.read_bytes())
    data[-4096:] = b"\x5a" * 4096
    path.write_bytes(data)
    assert "damaged" in refused(path).found


def test_missing_event_is_told(tmp_path: Path) -> None:
    """A case with a gap is not folded as if nothing were missing."""
    path = tmp_path / "cases.db"
    case_id = filled_store(path, notes=3)
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("DROP TRIGGER never_deleted")
        connection.execute("DELETE FROM events WHERE number = 2")
    with pytest.raises(StoreError, match="Of 3 events only 2"):
        CaseStore(path).events(case_id)


def test_store_of_a_newer_version_is_refused(tmp_path: Path) -> None:
    """A shape that this version does not know is left alone."""
    path = tmp_path / "cases.db"
    filled_store(path, notes=2)
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("INSERT INTO migrations VALUES ('2031_01_holograms')")
    error = refused(path)
    assert "newer version" in error.found
    assert error.do == "Update benchtrail."


def test_older_store_is_brought_up_to_date(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A step that is new is taken once and the events stay."""
    path = tmp_path / "cases.db"
    case_id = filled_store(path, notes=2)
    step = ("CREATE TABLE shelf_marks (case_id TEXT)",)
    monkeypatch.setitem(MIGRATIONS, "2027_01_shelf_marks", step)
    assert len(CaseStore(path).events(case_id)) == 2
    assert len(CaseStore(path).events(case_id)) == 2
    with closing(sqlite3.connect(path)) as connection:
        taken = connection.execute("SELECT name FROM migrations ORDER BY name").fetchall()
    assert [name for (name,) in taken] == sorted(MIGRATIONS)


def test_half_made_step_is_rolled_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A step that fails leaves the store as it was, for the version that made it."""
    path = tmp_path / "cases.db"
    case_id = filled_store(path, notes=2)
    step = ("CREATE TABLE shelf_marks (case_id TEXT)", "CREATE NONSENSE")
    with monkeypatch.context() as patched:
        patched.setitem(MIGRATIONS, "2027_01_shelf_marks", step)
        refused(path)
    assert len(CaseStore(path).events(case_id)) == 2


@pytest.mark.parametrize(
    "place", ["file/cases.db", "/proc/benchtrail/cases.db", "folder", "a\x1bb/"]
)
def test_place_that_takes_no_store_is_told(tmp_path: Path, place: str) -> None:
    """A file as a folder, a folder that nobody may write to, and a folder as the file."""
    (tmp_path / "file").write_text("a file")
    (tmp_path / "folder").mkdir()
    (tmp_path / "a\x1bb").mkdir()
    refused(tmp_path / place)


def test_store_held_by_another_program_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After waiting in vain the person is told, and nothing is half written."""
    path = tmp_path / "cases.db"
    case_id = filled_store(path, notes=2)
    store = CaseStore(path)
    monkeypatch.setattr(store_module, "WAIT_S", 0.05)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreError, match="Another program holds"):
            store.append(case_id, INTAKE, after=2)
        assert len(store.events(case_id)) == 2, "reading goes on meanwhile"
    assert store.append(case_id, INTAKE, after=2) == 3


def test_store_taken_away_is_told_and_not_made_anew(tmp_path: Path) -> None:
    """A stick pulled out does not turn into an empty shelf."""
    path = tmp_path / "cases.db"
    case_id = filled_store(path, notes=2)
    store = CaseStore(path)
    path.rename(tmp_path / "elsewhere.db")
    with pytest.raises(StoreError, match="can't be opened"):
        store.append(case_id, INTAKE, after=2)
    assert not path.exists()


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of its own with room for 256 KiB; only root can make one."""
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", str(tmp_path)], check=False
    )
    if mounted.returncode:
        pytest.skip("no disk can be mounted here")
    yield tmp_path
    subprocess.run(["umount", str(tmp_path)], check=True)


@pytest.mark.proof
def test_real_full_disk_loses_nothing(small_disk: Path) -> None:
    """On a disk that has become full, all told before is there and goes on with room again."""
    store = CaseStore(small_disk / "cases.db")
    case_id = store.create(INTAKE)
    ballast = small_disk / "ballast"
    ballast.write_bytes(b"x" * 100_000)
    note = Noted("x" * 2000, at=AT)
    for last in range(1, 1000):
        try:
            store.append(case_id, note, after=last)
        except StoreError as error:
            assert "disk is full" in error.found  # noqa: PT017 - the loop ends by it
            break
    assert 10 < last < 900
    ballast.unlink()
    assert CaseStore(store.path).events(case_id) == (INTAKE,) + (note,) * (last - 1)
    assert store.append(case_id, note, after=last) == last + 1


@pytest.mark.proof
def test_real_read_only_disk_is_told(small_disk: Path) -> None:
    """On a disk that may only be read, writing is refused in plain words."""
    store = CaseStore(small_disk / "cases.db")
    case_id = store.create(INTAKE)
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    with pytest.raises(StoreError) as caught:
        store.append(case_id, INTAKE, after=1)
    assert caught.value.do
    refused(store.path)
    refused(small_disk / "other.db")


def test_full_disk_is_named(tmp_path: Path) -> None:
    """What SQLite reports when there is no room is told as a full disk."""
    with closing(sqlite3.connect(tmp_path / "small.db")) as connection:
        connection.execute("CREATE TABLE notes (text TEXT)")
        connection.execute("PRAGMA max_page_count = 3")
        with pytest.raises(sqlite3.OperationalError) as caught:
            connection.execute("INSERT INTO notes VALUES (?)", ("x" * 100_000,))
    found, do = explain(caught.value.sqlite_errorname, str(caught.value))
    assert "disk is full" in found
    assert "Make room" in do
