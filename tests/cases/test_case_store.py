from __future__ import annotations

import itertools
import sqlite3
from collections.abc import Sequence
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from case_strategies import AT, ONE_OF_EACH, cases
from hypothesis import given, settings

from diag.cases.events import Event, Noted, Struck, TakenIn
from diag.cases.store import CaseStore, Imported
from diag.errors import CaseError

INTAKE = TakenIn("A deck", "cassette", at=AT)
NOTE = Noted("Belt ordered.", at=AT)


def put(store: CaseStore, events: Sequence[Event]) -> str:
    """Tell a store a whole case."""
    first, *rest = events
    assert isinstance(first, TakenIn)
    case_id = store.create(first)
    for number, event in enumerate(rest, start=2):
        assert store.append(case_id, event, after=number - 1) == number
    return case_id


@pytest.fixture
def store(tmp_path: Path) -> CaseStore:
    """A new store in a folder that is not there yet."""
    return CaseStore(tmp_path / "data" / "cases.db")


@given(cases(most=6))
@settings(max_examples=20, deadline=None)
def test_store_gives_back_what_it_was_told(case: Sequence[Event]) -> None:
    """Any case comes back equal, also to a store opened later on the same file."""
    with TemporaryDirectory() as folder:
        case_id = put(CaseStore(Path(folder) / "cases.db"), case)
        assert CaseStore(Path(folder) / "cases.db").events(case_id) == tuple(case)


def test_new_store_has_no_cases(store: CaseStore) -> None:
    """A store is made where none is."""
    assert store.cases() == ()
    assert store.path.exists()


def test_shelf_tells_of_each_case(store: CaseStore) -> None:
    """The case touched last comes first; name and family are those of the last living intake."""
    later, earlier = AT + timedelta(hours=1), AT - timedelta(hours=1)
    old = store.create(INTAKE)
    new = store.create(replace(INTAKE, name="Another", at=later))
    store.append(new, replace(INTAKE, name="Renamed", at=earlier), after=1)
    assert [(case.id, case.name, case.events) for case in store.cases()] == [
        (old, "A deck", 1),
        (new, "Renamed", 2),
    ]
    store.append(new, Struck(2, at=later), after=2)
    first, second = store.cases()
    assert (first.id, first.name, first.family, first.events) == (new, "Another", "cassette", 3)
    assert (first.created, first.touched) == (later, later)
    assert (second.created, second.touched) == (AT, AT)


def test_event_of_a_window_left_behind_is_refused(store: CaseStore) -> None:
    """Two windows can't write into one case without knowing of each other."""
    case_id = store.create(INTAKE)
    store.append(case_id, NOTE, after=1)
    with pytest.raises(CaseError, match="Another window"):
        store.append(case_id, Noted("Unaware.", at=AT), after=1)
    assert store.events(case_id) == (INTAKE, NOTE)


def test_strike_of_what_is_not_there_is_refused(store: CaseStore) -> None:
    """An event that could never be folded does not get into the store."""
    case_id = store.create(INTAKE)
    with pytest.raises(CaseError, match="not there yet"):
        store.append(case_id, Struck(2, at=AT), after=1)
    assert store.events(case_id) == (INTAKE,)


@pytest.mark.parametrize("case_id", ["c-none", "", "\x1b[2J", "\udcff"])
def test_unknown_case_is_told(store: CaseStore, case_id: str) -> None:
    """No id whatever of a case that is not there makes a traceback or a new case."""
    for attempt in (
        lambda: store.events(case_id),
        lambda: store.append(case_id, NOTE, after=0),
        lambda: store.export_file(case_id, store.path.with_name("a.case.json")),
    ):
        with pytest.raises(CaseError) as caught:
            attempt()
        assert str(caught.value).isprintable()
    assert store.cases() == ()


def test_id_in_use_is_not_given_again(tmp_path: Path) -> None:
    """A second case never gets the id of the first."""
    ids = itertools.chain(["c-a", "c-a", "c-b"], itertools.repeat("c-c"))
    store = CaseStore(tmp_path / "cases.db", new_id=lambda: next(ids))
    assert [store.create(INTAKE) for _ in range(3)] == ["c-a", "c-b", "c-c"]


def test_import_keeps_the_id_and_every_event(store: CaseStore, tmp_path: Path) -> None:
    """A case goes from one store to another as it is."""
    case_id = put(store, ONE_OF_EACH)
    store.export_file(case_id, tmp_path / "a.case.json")
    other = CaseStore(tmp_path / "other.db")
    assert other.import_file(tmp_path / "a.case.json") == Imported(case_id, was_here=False)
    assert other.events(case_id) == ONE_OF_EACH


def test_import_of_a_case_that_is_here_is_told(store: CaseStore, tmp_path: Path) -> None:
    """The same events are not taken in twice."""
    case_id = put(store, ONE_OF_EACH)
    store.export_file(case_id, tmp_path / "a.case.json")
    assert store.import_file(tmp_path / "a.case.json") == Imported(case_id, was_here=True)
    assert len(store.cases()) == 1


def test_import_never_overwrites(store: CaseStore, tmp_path: Path) -> None:
    """A case that has gone on since its export stays; the older one becomes another case."""
    case_id = put(store, ONE_OF_EACH)
    store.export_file(case_id, tmp_path / "a.case.json")
    store.append(case_id, NOTE, after=len(ONE_OF_EACH))
    imported = store.import_file(tmp_path / "a.case.json")
    assert imported.case_id != case_id
    assert not imported.was_here
    assert store.events(case_id) == (*ONE_OF_EACH, NOTE)
    assert store.events(imported.case_id) == ONE_OF_EACH


def test_wrong_file_leaves_the_store_alone(store: CaseStore, tmp_path: Path) -> None:
    """A file with a slip in its last event brings in nothing."""
    case_id = put(store, ONE_OF_EACH)
    path = tmp_path / "a.case.json"
    store.export_file(case_id, path)
    path.write_text(path.read_text().replace('"event": 2', '"event": 200'))
    with pytest.raises(CaseError, match=rf"a\.case\.json, event {len(ONE_OF_EACH)}:"):
        CaseStore(tmp_path / "other.db").import_file(path)
    assert CaseStore(tmp_path / "other.db").cases() == ()


def test_store_works_under_any_name(tmp_path: Path) -> None:
    """What means something in an address means nothing in the name of a folder."""
    path = tmp_path / "a?mode=ro#b%41 ü" / "cases.db"
    case_id = CaseStore(path).create(INTAKE)
    assert path.exists()
    assert CaseStore(path).events(case_id) == (INTAKE,)


@pytest.mark.parametrize("sql", ["DELETE FROM events", "UPDATE events SET body = ''"])
def test_database_refuses_to_change_an_event(store: CaseStore, sql: str) -> None:
    """Not even another program changes or deletes an event by a slip."""
    case_id = store.create(INTAKE)
    with (
        closing(sqlite3.connect(store.path)) as connection,
        pytest.raises(sqlite3.IntegrityError, match="events are never"),
    ):
        connection.execute(sql)
    assert store.events(case_id) == (INTAKE,)


def test_store_is_safe_against_loss_of_power(store: CaseStore) -> None:
    """The file has a write-ahead log, as every later connection finds it."""
    with closing(sqlite3.connect(store.path)) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
