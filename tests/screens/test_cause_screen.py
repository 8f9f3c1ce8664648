"""The page of a cause: what would change its place comes after the reasons, and blocks nothing."""

from __future__ import annotations

from threading import Event

import pytest
from conftest import Bench, take_in

from diag.session.mind import ChangeOfMind
from diag.session.session import Session
from screens.bench import BenchScreen
from screens.cause import CauseScreen
from screens.remedy import RemedyScreen


async def test_cause_tells_what_would_change_its_place(bench: Bench) -> None:
    """Answers to come and figures of the book that would topple the first cause are told."""
    async with bench((140, 45)) as hand:
        await take_in(hand, "1")
        await hand.press("y", "2", "3", "1", "c", "enter")
        assert "Answers that would change this" in hand.sees
        assert "% likely," in hand.reads
        assert "Figures of the book" in hand.sees
        assert "first" in hand.reads.partition("Figures of the book")[2]


async def test_small_terminal_pages_to_what_would_change_it(bench: Bench) -> None:
    """On 80 by 24 it stands below the reasons, two pages down at most."""
    async with bench() as hand:
        await take_in(hand, "1")
        await hand.press("y", "2", "3", "1", "c", "enter", "pagedown", "pagedown")
        assert "Figures of the book" in hand.sees


async def test_reasons_stand_and_keys_work_while_the_rest_is_worked_out(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page opens with its reasons, leads on to a remedy and back, and fills in by itself."""
    done = Event()

    def late(session: Session, cause: str) -> ChangeOfMind:
        done.wait(10)
        return ChangeOfMind(("It took its time.",), ())

    monkeypatch.setattr(Session, "change_of_mind", late)
    async with bench() as hand:
        await take_in(hand, "1")
        await hand.press("y", "2", "3", "1", "c")
        try:
            await hand.pilot.press("enter")
            for _ in range(100):
                await hand.pilot.pause(0.02)
                if "Trying other answers" in str(hand.app.screen.query("#mind").first().render()):
                    break
            assert "Speaks for it" in hand.sees
            await hand.pilot.press("1")
            await hand.pilot.pause()
            assert isinstance(hand.app.screen, RemedyScreen)
            await hand.pilot.press("escape")
            await hand.pilot.pause()
            assert isinstance(hand.app.screen, CauseScreen)
        finally:
            done.set()
        await hand.settle()
        await hand.press("pagedown", "pagedown")
        assert "It took its time." in hand.sees
        await hand.press("escape", "escape")
        assert isinstance(hand.app.screen, BenchScreen)
