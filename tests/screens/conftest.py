"""A hand on the keyboard of the app, with a small book, a store of its own and a still clock."""

from __future__ import annotations

import asyncio
import html
import re
import time
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from textual.events import Key
from textual.pilot import Pilot

from diag.cases.events import Event
from diag.model.trait import Deck
from diag.session.session import Session
from screens.app import BenchtrailApp
from screens.bench import BenchScreen
from screens.engine_screen import EngineScreen

BOOK = Path(__file__).parent / "book"
TEXTS = re.compile(r'<text class="[^"]*-r\d+" x="([\d.]+)" y="([\d.]+)"[^>]*>([^<\n]*)</text>')
HOPS, ROUNDS = 30, 3
"""A key goes through many hands until a screen opens; that is laid out and drawn, in rounds."""
CELL = 12.2
"""Width of a sign in the pictures that Textual writes."""
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
            self.app.post_message(Key(key, key if len(key) == 1 else None))
            await self.settle()

    async def write(self, text: str) -> None:
        """Type a text."""
        for sign in text:
            self.app.post_message(Key(NAMED.get(sign, sign), sign))
        await self.settle()

    async def settle(self) -> None:
        """Wait until the screen on top has nothing left to do.

        Rounds of messages are waited for, and not a time: a slow machine takes longer for them.
        """
        shown = None
        while shown is not self.app.screen or self._at_work:
            await self._hop()
            while self._at_work:
                await asyncio.sleep(0.002)
            shown = self.app.screen
            for _ in range(ROUNDS):
                await self._hop()
                await self.pilot.pause(0)

    async def _hop(self) -> None:
        for _ in range(HOPS):
            await asyncio.sleep(0)

    @property
    def _at_work(self) -> bool:
        return isinstance(self.app.screen, EngineScreen) and self.app.screen.busy

    @property
    def sees(self) -> str:
        """All text on the screen as it stands there, without the spaces at the ends of rows."""
        rows: dict[float, str] = {}
        for x, y, written in TEXTS.findall(self.app.export_screenshot()):
            column = round(float(x) / CELL)
            text = html.unescape(written).replace("\xa0", " ")
            rows[float(y)] = rows.get(float(y), "").ljust(column) + text
        return "\n".join(rows[y].rstrip() for y in sorted(rows))

    @property
    def reads(self) -> str:
        """The same column by column as one line of words, however they are broken."""
        rows = [re.split("[│┃]", row) for row in self.sees.splitlines()]
        most = max(len(row) for row in rows)
        columns = (" ".join(row[n] for row in rows if n < len(row)) for n in range(most))
        return " ".join(" ".join(columns).split())

    @property
    def letters(self) -> str:
        """The same without any space, for long paths that are broken anywhere."""
        return self.reads.replace(" ", "")

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
        store: Path = tmp_path / "cases.sqlite3",
        book: Path = BOOK,
        case: str | None = None,
        additions: Path | None = None,
    ) -> BenchtrailApp:
        return BenchtrailApp(store, book, case, clock, additions)

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
    """Put an idler deck of 45 years with these numbered complaints on the bench.

    Intake itself is gone through by hand in its own tests; here it would take most of the time.
    """

    def begin() -> Session:
        shelf = hand.app.engine.shelf()
        (family,) = shelf.families()
        known = tuple(shelf.book(family).symptoms)
        told = [known[int(number) - 1] for number in complaints]
        deck = Deck(age_years=45.0, traits={"drive": "idler"})
        return shelf.take_in(f"Deck {len(shelf.decks()) + 1}", family, deck, told)

    hand.app.push_screen(BenchScreen(await asyncio.to_thread(begin)))
    await hand.settle()
