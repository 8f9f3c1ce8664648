"""The registry of keys agrees with the screens."""

from __future__ import annotations

from collections import Counter

import pytest

from screens.actions import ACTIONS
from screens.app import BenchtrailApp
from screens.bench import BenchScreen
from screens.book import BookScreen
from screens.cause import CauseScreen
from screens.engine_screen import EngineScreen
from screens.entry import EntryScreen
from screens.intake import IntakeScreen
from screens.measure import MeasureScreen
from screens.orders import OrdersScreen
from screens.parts import PartsScreen
from screens.reassembly import ReassemblyScreen
from screens.remedy import RemedyScreen
from screens.shelf import ShelfScreen
from screens.strip_down import StripDownScreen
from screens.trail import TrailScreen
from screens.tree import TreeScreen
from screens.work_form import JobForm
from screens.workshop import WorkshopScreen

SCREENS = (
    BenchScreen,
    BookScreen,
    CauseScreen,
    EntryScreen,
    IntakeScreen,
    JobForm,
    MeasureScreen,
    OrdersScreen,
    PartsScreen,
    ReassemblyScreen,
    RemedyScreen,
    ShelfScreen,
    StripDownScreen,
    TrailScreen,
    TreeScreen,
    WorkshopScreen,
)
PLACES = {**{screen.PLACE: screen for screen in SCREENS}, "everywhere": BenchtrailApp}


def test_every_place_has_a_screen() -> None:
    """No keys are kept for a screen that is gone, and no screen is without."""
    assert set(PLACES) == set(ACTIONS)


@pytest.mark.parametrize("place", ACTIONS)
def test_every_key_does_one_thing_that_is_told(place: str) -> None:
    """Each action has its method, a label and help; no key is given twice on a screen."""
    for action in ACTIONS[place]:
        name = action.name.partition("(")[0]
        owner = BenchtrailApp if name.startswith("app.") else PLACES[place]
        assert hasattr(owner, f"action_{name.removeprefix('app.')}"), f"{place}.{name}"
        assert action.label
        assert action.help.endswith(".")
    keys = Counter(key for action in ACTIONS[place] for key in action.keys)
    assert [key for key, times in keys.items() if times > 1] == []


@pytest.mark.parametrize("screen", SCREENS)
def test_no_method_is_without_its_key(screen: type[EngineScreen]) -> None:
    """An action that a screen defines can be reached, and so stands on the page of keys."""
    defined = {
        name.removeprefix("action_")
        for kind in screen.__mro__
        if kind.__module__.startswith("screens.")
        for name in vars(kind)
        if name.startswith("action_")
    }
    assert defined == {action.name.partition("(")[0] for action in ACTIONS[screen.PLACE]} - {
        "app.theme"
    }
