"""No test reads or writes what belongs to the person who runs it."""

from __future__ import annotations

import os

import pytest


@pytest.fixture(scope="session", autouse=True)
def _no_home(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Data and caches of the user are an empty folder, in this process and in those it starts."""
    for name in ("XDG_DATA_HOME", "XDG_CACHE_HOME"):
        os.environ[name] = str(tmp_path_factory.mktemp(name.lower()))
