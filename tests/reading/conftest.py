"""A small book on disk that tests may spoil."""

from __future__ import annotations

from pathlib import Path

import pytest
from book_folder import BookFolder


@pytest.fixture
def folder(tmp_path: Path) -> BookFolder:
    """A book without a problem."""
    return BookFolder(tmp_path)
