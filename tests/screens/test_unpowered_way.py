"""A powered check tells what would find out the same with the plug pulled."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_case import small_shelf

from diag.model.trait import Deck
from screens.sheets import sheet_of

LIVE = """\
checks:
  belt_volts:
    ask: Are there volts at the motor?
    at: lid
    minutes: 2
    live: {live}
    unpowered: [belt_ohms, idler_ohms]
    answers: {{none: {{present: [slow]}}, right: }}
  belt_ohms:
    ask: What are its ohms?
    at: lid
    minutes: 3
    answers: {{open: {{present: [slow]}}, right: }}
  idler_ohms:
    ask: What are the ohms at the idler?
    where: {{drive: [idler]}}
    at: lid
    minutes: 3
    answers: {{open: {{present: [slow]}}, right: }}
"""


def lines(folder: Path, live: str, drive: str) -> dict[str, str]:
    """The lines of the card of the powered check, for a deck of this drive."""
    shelf = small_shelf(folder)
    (folder / "knowledge" / "tape" / "live.yaml").write_text(LIVE.format(live=live))
    session = shelf.take_in("Deck", "tape", Deck(traits={"drive": drive}), ["drags"])
    return dict(sheet_of(session, "check", "belt_volts", None).lines)


@pytest.mark.parametrize(
    ("drive", "told"),
    [
        ("belt", "What are its ohms?"),
        ("idler", "What are its ohms?; What are the ohms at the idler?"),
    ],
)
def test_powered_check_tells_its_unpowered_ways(tmp_path: Path, drive: str, told: str) -> None:
    """Those that this deck can have, before anything else on the card."""
    found = lines(tmp_path, "yes", drive)
    assert found["Without power"] == told
    assert next(iter(found)) == "Without power"


def test_unpowered_check_tells_none(tmp_path: Path) -> None:
    """There is nothing to save a person from."""
    assert "Without power" not in lines(tmp_path, "no", "belt")
