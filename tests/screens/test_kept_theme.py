"""The theme outlives the app."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import Bench

from screens.theme import DARK, LIGHT


async def test_theme_is_there_at_the_next_start(bench: Bench) -> None:
    """Dark at first; what was chosen last comes again, light or dark."""
    for begun, chosen in ((DARK, LIGHT), (LIGHT, DARK), (DARK, LIGHT)):
        async with bench() as hand:
            assert hand.app.theme == begun.name
            await hand.press("f2")
            assert hand.app.theme == chosen.name


@pytest.mark.parametrize("kept", [b"no such theme\n", b"\xff", b""])
async def test_theme_that_cannot_be_read_is_dark(bench: Bench, tmp_path: Path, kept: bytes) -> None:
    """The app begins all the same, and the next choice is kept."""
    file = tmp_path / "cases.theme"
    file.write_bytes(kept)
    async with bench() as hand:
        assert hand.app.theme == DARK.name
        await hand.press("t")
    assert file.read_text() == f"{LIGHT.name}\n"


async def test_theme_that_cannot_be_kept_is_told(bench: Bench, tmp_path: Path) -> None:
    """What stands in its way is named; the look changes, and the case goes on."""
    (tmp_path / "cases.theme").mkdir()
    async with bench() as hand:
        await hand.press("f2")
        assert "The theme can't be kept: Is a directory. It holds until you leave." in hand.reads
        assert "cases.theme" in hand.letters
        assert hand.app.theme == LIGHT.name
        await hand.press("enter")
        assert "decks on the bench" in hand.sees
