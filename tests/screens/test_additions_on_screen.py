"""Additions that can't be used are told on the shelf; the app works on without them."""

from __future__ import annotations

from pathlib import Path

from conftest import Bench

from screens.dialogs.error import ErrorDialog


async def test_spoilt_additions_are_told_and_left_out(bench: Bench, tmp_path: Path) -> None:
    """Once with file and line, and then at the top of the shelf."""
    (tmp_path / "mine" / "tape").mkdir(parents=True)
    (tmp_path / "mine" / "tape" / "my.yaml").write_text("causes: {x: {}}", encoding="utf-8")
    async with bench(additions=tmp_path / "mine") as hand:
        assert isinstance(hand.app.screen, ErrorDialog)
        assert "additions/tape/my.yaml:1" in hand.sees
        assert "left out until they are mended" in hand.reads
        await hand.press("escape")
        assert "(additions left out)" in hand.sees
        await hand.press("n", "b")
        assert [type(event).__name__ for event in hand.events] == ["TakenIn"]
