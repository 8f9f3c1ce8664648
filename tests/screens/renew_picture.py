"""Draws the picture of the bench in the README anew, after looks or the book have changed.

`PYTHONPATH=.:tests .venv/bin/python tests/screens/renew_picture.py`
"""

from __future__ import annotations

import asyncio
import re
from pathlib import Path
from tempfile import TemporaryDirectory

from conftest import Hand

from diag.reading.location import shipped
from diag.session.shelf import Shelf
from screens.app import BenchtrailApp
from screens.cli.demo import put_on_shelf

PICTURE = Path(__file__).parents[2] / "screens" / "pictures" / "bench.svg"
SIZE = (120, 34)
FETCHED = re.compile(r"\s*(?:<!--.*?-->|@font-face\s*\{.*?\})", re.DOTALL)
"""Fonts from elsewhere, and the note on what drew it: a picture should fetch nothing."""
KEYS = ("u", "u")
"""From the end of the demo to a question with its caution and the planner's reason."""


async def draw(folder: Path) -> str:
    """The bench of the demo, as an SVG."""
    store = folder / "cases.sqlite3"
    Shelf(store, shipped())  # makes it
    app = BenchtrailApp(store, shipped(), put_on_shelf(store))
    async with app.run_test(size=SIZE) as pilot:
        hand = Hand(pilot, app)
        await hand.settle()
        await hand.press(*KEYS)
        app.clear_notifications()
        await hand.settle()
        return FETCHED.sub("", app.export_screenshot())


if __name__ == "__main__":
    with TemporaryDirectory() as folder:
        PICTURE.write_text(asyncio.run(draw(Path(folder))), encoding="utf-8")
