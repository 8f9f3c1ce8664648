"""No test reads or writes what belongs to the person who runs it."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

Command = Callable[..., tuple[int, str, str]]


@pytest.fixture(scope="session", autouse=True)
def _no_home(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Data and caches of the user are an empty folder, in this process and in those it starts."""
    for name in ("XDG_DATA_HOME", "XDG_CACHE_HOME"):
        os.environ[name] = str(tmp_path_factory.mktemp(name.lower()))


@pytest.fixture
def command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Command:
    """Runs `benchtrail` in the folder of the test, on its store and its knowledge.

    Gives the exit code, stdout and stderr.
    """
    from screens.cli.main import main

    monkeypatch.chdir(tmp_path)

    def call(*words: str, store: str = "cases.sqlite3") -> tuple[int, str, str]:
        code = main([*words, "--store", store, "--knowledge", "knowledge"])
        return code, *capsys.readouterr()

    return call
