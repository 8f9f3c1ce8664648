"""What the last line of a screen or window says of its keys, where room is short."""

from __future__ import annotations

import pytest
from conftest import Bench, take_in
from rich.text import Text

from screens.actions import ACTIONS
from screens.dialogs.choose import AT_ONCE, Choose, Item
from screens.dialogs.confirm import Confirm
from screens.widgets.key_bar import fit

ITEMS = [Item(str(number), f"thing {number}") for number in range(40)]


@pytest.mark.parametrize("place", [place for place in ACTIONS if place != "everywhere"])
@pytest.mark.parametrize("width", [40, 60, 80, 140])
@pytest.mark.parametrize("lines", [1, 2])
def test_way_back_and_help_stay_on_the_line(place: str, width: int, lines: int) -> None:
    """Whatever else is left out, Esc and the key of all keys stand last, and no line is broken."""
    offered = [action for action in ACTIONS[place] if action.bar]
    told = [[f"{key.shown} {key.label}" for key in line] for line in fit(offered, width, lines)]
    assert told[-1][-1] == "? keys"
    assert all(len("  ".join(line)) <= width for line in told)
    for action in offered:
        if action.name == "back":
            assert told[-1][-2] == f"{action.shown} {action.label}"


@pytest.mark.parametrize("many", [True, False])
async def test_long_list_shows_its_keys_in_a_small_terminal(bench: Bench, many: bool) -> None:
    """The way back stands below the list at 80x24, too."""
    async with bench() as hand:
        hand.app.push_screen(Choose("Which?", ITEMS, many=many))
        await hand.settle()
        assert "Esc: back" in hand.sees


async def test_last_row_of_a_very_long_list_is_reached(bench: Bench) -> None:
    """Rows come as the list is gone down, by the arrows and by the wheel; none is left out."""
    many = [Item(str(number), f"thing {number}") for number in range(400)]
    async with bench() as hand:
        dialog = Choose("Which?", many)
        hand.app.push_screen(dialog)
        await hand.settle()
        assert dialog.listed.option_count < len(many)
        dialog.listed.scroll_end(animate=False)
        await hand.settle()
        assert dialog.listed.option_count > AT_ONCE
        await hand.press(*["pagedown"] * 50)
        assert "thing 399" in hand.sees


async def test_text_longer_than_its_window_says_so(bench: Bench) -> None:
    """A question whose text goes on below names the key that shows the rest."""
    async with bench() as hand:
        await take_in(hand)
        hand.app.push_screen(Confirm("Open now?", Text("\n".join(["a caution"] * 40))))
        await hand.settle()
        assert "PgDn: more" in hand.sees
        await hand.press("escape")
        hand.app.push_screen(Confirm("Open now?", Text("a caution")))
        await hand.settle()
        assert "PgDn" not in hand.sees
