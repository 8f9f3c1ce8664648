"""The look of every screen, against pictures that are kept beside the tests."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import replace
from typing import Any

import pytest
from conftest import Hand
from recordings import speed_found
from textual.pilot import Pilot
from textual.widgets import Input

from diag.cases.captured import Reading
from diag.model.trait import Deck
from diag.session.listening import Heard
from diag.session.parts import PartLine, keep_part
from diag.session.taken_apart import put_back, take_off
from screens.app import BenchtrailApp
from screens.shelf import PAUSE_S, ShelfScreen

SMALL, LARGE = (80, 24), (140, 45)
OPEN = ("l", "2", "enter")
"""Opens the mechanism."""
AppOf = Callable[..., BenchtrailApp]


def a_case(app: BenchtrailApp) -> str:
    """A deck half-way: intake answered, one answer of the walk, a strap set wrong, one struck."""
    deck = Deck(
        age_years=45,
        traits={"drive": "idler", "mains_motor": "yes"},
        facts={"local_hz": 50.0, "strap_hz": 60.0},
    )
    session = app.engine.shelf().take_in("Deck from the attic", "tape", deck, ["eats_tape"])
    session.acknowledge("smoke", "first_power")
    session.answer("first_power", "quiet")
    session.answer("play_moves", "moves")
    session.answer("hubs_in_play", "both")
    session.undo()
    return session.case


def keys(*pressed: str) -> Callable[[Pilot[None]], Awaitable[None]]:
    """Press these keys before the picture is taken, and hold the cursor still."""

    async def press(pilot: Pilot[None]) -> None:
        app = pilot.app
        assert isinstance(app, BenchtrailApp)
        hand = Hand(pilot, app)
        await hand.settle()
        await hand.press(*pressed)
        for line in app.screen.query(Input):
            line.cursor_blink = False
        if isinstance(app.screen, ShelfScreen):
            await pilot.pause(PAUSE_S + 0.2)  # it says what comes next after a moment
        if glances := [worker for worker in app.workers if worker.group == "glance"]:
            await app.workers.wait_for_complete(glances)
        await pilot.pause()

    return press


@pytest.mark.parametrize(
    ("size", "pressed"),
    [
        pytest.param(SMALL, (), id="bench"),
        pytest.param(LARGE, (), id="bench-large"),
        pytest.param(SMALL, ("f2", "1", "y"), id="bench-light-deeper"),
        pytest.param(SMALL, ("1",), id="bench-danger"),
        pytest.param(SMALL, ("escape",), id="shelf"),
        pytest.param(SMALL, ("i", "down"), id="intake"),
        pytest.param(SMALL, ("c", "enter"), id="cause"),
        pytest.param(SMALL, ("m", "1", "y"), id="remedy"),
        pytest.param(SMALL, ("t",), id="trail"),
        pytest.param(SMALL, ("question_mark",), id="help"),
        pytest.param(SMALL, ("a",), id="others"),
        pytest.param(SMALL, ("1", "y", "1"), id="opening"),
        pytest.param(SMALL, ("t", "home", "s"), id="error"),
        pytest.param(SMALL, (*OPEN,), id="open-deck"),
        pytest.param(LARGE, (*OPEN,), id="open-deck-large"),
        pytest.param(SMALL, (*OPEN, "l", "2"), id="before-closing"),
        pytest.param(SMALL, ("b", "right"), id="book"),
        pytest.param(SMALL, ("b", "right", "enter"), id="book-entry"),
        pytest.param(LARGE, ("w",), id="tree-large"),
        pytest.param(SMALL, ("j",), id="workshop"),
        pytest.param(SMALL, ("j", "enter", "f3"), id="sum"),
        pytest.param(LARGE, ("j", *["down"] * 5, "enter", "f3"), id="sum-large"),
    ],
)
def test_screen_of_a_case_looks_as_kept(
    snap_compare: Any, app_of: AppOf, size: tuple[int, int], pressed: tuple[str, ...]
) -> None:
    """Nothing moves, wraps or changes colour unless somebody wants it to."""
    case = a_case(app_of())
    assert snap_compare(app_of(case=case), terminal_size=size, run_before=keys(*pressed))


def test_empty_shelf_looks_as_kept(snap_compare: Any, app_of: AppOf) -> None:
    """The first thing that anybody sees."""
    assert snap_compare(app_of(), terminal_size=SMALL, run_before=keys())


@pytest.mark.parametrize("size", [pytest.param(SMALL, id="small"), pytest.param(LARGE, id="large")])
def test_order_list_looks_as_kept(snap_compare: Any, app_of: AppOf, size: tuple[int, int]) -> None:
    """Two decks; what is fitted isn't on it."""
    a_stripped_case(app_of())
    a_stripped_case(app_of())
    assert snap_compare(app_of(), terminal_size=size, run_before=keys("o"))


def a_measured_case(app: BenchtrailApp) -> str:
    """A deck whose speed was recorded as it came, and again with its strap set."""
    session = app.engine.shelf().take_in("Deck from the attic", "tape", Deck(age_years=45), [])
    for percent, within in ((-2.5, 0.1), (-0.2, 0.05)):
        found = speed_found(percent, within, points=24)
        answer = "slow" if percent < -1.5 else "right"
        reading = Reading(check="speed_error", value=percent, unit="%", answer=answer)
        session.take_capture(Heard("speed", "side a.wav", found, (reading,)))
        if percent < -1:
            session.mend("set_strap")
    return session.case


@pytest.mark.parametrize(
    ("size", "pressed"),
    [
        pytest.param(SMALL, ("e",), id="measure"),
        pytest.param(LARGE, ("e",), id="measure-large"),
        pytest.param(SMALL, ("e", "p"), id="measure-kinds"),
    ],
)
def test_recordings_look_as_kept(
    snap_compare: Any, app_of: AppOf, size: tuple[int, int], pressed: tuple[str, ...]
) -> None:
    """Figures before and after, and the curves in one picture."""
    case = a_measured_case(app_of())
    assert snap_compare(app_of(case=case), terminal_size=size, run_before=keys(*pressed))


def a_stripped_case(app: BenchtrailApp) -> str:
    """A deck whose lid and mechanism are off, with screws, a wire and levers."""
    session = app.engine.shelf().take_in("Deck from the attic", "tape", Deck(age_years=45), [])
    session.open("transport")
    take_off(session, "lid", "screw", count=6, place="sides and rear", tray=1, note="two are long")
    take_off(session, "transport", "screw", count=4, tray=2)
    put_back(session, session.snapshot.revision, 1)
    take_off(session, "transport", "wire", colour="red", place="board 3", to="motor")
    take_off(session, "transport", "lever", count=2, place="trigger")
    line = PartLine(part="capstan belt", remedy="", work="", state="ordered", price=4.5)
    keep_part(session, replace(line, note="70 mm"))
    keep_part(session, replace(line, part="feet", count=4, state="fitted", price=None))
    return session.case


@pytest.mark.parametrize(
    ("size", "pressed"),
    [
        pytest.param(SMALL, ("z",), id="strip-down"),
        pytest.param(LARGE, ("z",), id="strip-down-large"),
        pytest.param(SMALL, ("z", "5"), id="strip-down-wire"),
        pytest.param(SMALL, ("z", "b"), id="reassembly"),
        pytest.param(LARGE, ("z", "b"), id="reassembly-large"),
        pytest.param(SMALL, ("q",), id="parts"),
        pytest.param(LARGE, ("q",), id="parts-large"),
    ],
)
def test_stripped_deck_looks_as_kept(
    snap_compare: Any, app_of: AppOf, size: tuple[int, int], pressed: tuple[str, ...]
) -> None:
    """What is off, what goes back, and the parts."""
    case = a_stripped_case(app_of())
    assert snap_compare(app_of(case=case), terminal_size=size, run_before=keys(*pressed))
