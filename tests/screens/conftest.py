"""A hand on the keyboard of the app, with a small book, a store of its own and a still clock."""

from __future__ import annotations

import html
import re
import time
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from textual.pilot import Pilot

from diag.cases.events import Event
from screens.app import BenchtrailApp
from screens.engine_screen import EngineScreen

BOOK = Path(__file__).parent / "book"
NAMED = {
    " ": "space",
    ".": "full_stop",
    ",": "comma",
    "-": "minus",
    "/": "slash",
    "_": "underscore",
}


class Hand:
    """Presses keys and looks at the screen."""

    def __init__(self, pilot: Pilot[None], app: BenchtrailApp) -> None:
        self.pilot = pilot
        self.app = app

    async def press(self, *keys: str) -> None:
        """Press keys one after the other, each when the one before has done its work."""
        for key in keys:
            await self.pilot.press(key)
            await self.settle()

    async def write(self, text: str) -> None:
        """Type a text."""
        await self.pilot.press(*(NAMED.get(sign, sign) for sign in text))
        await self.settle()

    async def settle(self) -> None:
        """Wait until the screen on top has nothing left to do."""
        for _ in range(400):
            await self.pilot.pause()
            screen = self.app.screen
            if not (isinstance(screen, EngineScreen) and screen.busy):
                break
            await self.pilot.pause(0.01)
        await self.pilot.pause()

    @property
    def sees(self) -> str:
        """All text on the screen, one line a row, without the spaces at the end."""
        svg = self.app.export_screenshot()
        rows: dict[float, list[tuple[float, str]]] = {}
        for found in re.finditer(r'<text[^>]*? x="([\d.]+)" y="([\d.]+)"[^>]*>(.*?)</text>', svg):
            at, row, text = float(found[1]), float(found[2]), html.unescape(found[3])
            rows.setdefault(row, []).append((at, text.replace("\xa0", " ")))
        return "\n".join("".join(t for _, t in sorted(rows[r])).rstrip() for r in sorted(rows))

    @property
    def reads(self) -> str:
        """The same as one line of words, however they are broken."""
        return " ".join(self.sees.split())

    @property
    def events(self) -> tuple[Event, ...]:
        """What is on disk of the one case of the store."""
        shelf = self.app.engine.shelf()
        (deck,) = shelf.decks()
        return shelf.cases.events(deck.id)


Bench = Callable[..., AbstractAsyncContextManager[Hand]]


@pytest.fixture(autouse=True)
def _home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Exports go to a folder of the test, and times are told in UTC."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.fixture
def app_of(tmp_path: Path) -> Callable[..., BenchtrailApp]:
    """Makes the app, with a clock that goes a minute at every look."""
    now = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)

    def clock() -> datetime:
        nonlocal now
        now += timedelta(minutes=1)
        return now

    def make(
        store: Path = tmp_path / "cases.sqlite3", book: Path = BOOK, case: str | None = None
    ) -> BenchtrailApp:
        return BenchtrailApp(store, book, case, clock)

    return make


@pytest.fixture
def bench(app_of: Callable[..., BenchtrailApp]) -> Bench:
    """Starts the app in a terminal of a size."""

    @asynccontextmanager
    async def start(size: tuple[int, int] = (80, 24), **given: object) -> AsyncIterator[Hand]:
        app = app_of(**given)
        async with app.run_test(size=size) as pilot:
            hand = Hand(pilot, app)
            await hand.settle()
            yield hand

    return start


async def take_in(hand: Hand, *complaints: str) -> None:
    """Take in a belt deck of 45 years with these numbered complaints, and begin."""
    await hand.press("n", "down", *complaints, "down", "4")
    await hand.write("5")
    await hand.press("enter", "down", "down", "2", "b")
