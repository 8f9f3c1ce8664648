"""A powered check tells what would find out the same with the plug pulled."""

from __future__ import annotations

import io
from pathlib import Path
from shutil import copytree

import pytest
from conftest import BOOK, Bench, take_in
from small_case import small_shelf

from diag.model.trait import Deck
from diag.session.shelf import Shelf
from screens.cli.main import main
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


def folder_with_way(tmp_path: Path) -> Path:
    """The small book of the screens, whose first powered check names a way without power."""
    folder = tmp_path / "book"
    copytree(BOOK, folder)
    part = folder / "tape" / "deck.yaml"
    text = part.read_text(encoding="utf-8")
    first = "ask: Plug it in and switch it on."
    assert first in text
    text = text.replace(first, f"unpowered: [idler_look, belt_feel]\n    {first}")
    part.write_text(text, encoding="utf-8")
    return folder


WAY = "Without power: Look at the idler tyre. How does it look?; Lift the capstan belt"


async def test_way_without_power_stands_beside_the_danger(bench: Bench, tmp_path: Path) -> None:
    """Before the danger is read the step stays hidden, and the way round it is shown already."""
    async with bench(book=folder_with_way(tmp_path)) as hand:
        await take_in(hand)
        assert "What happens in the first minute?" not in hand.reads
        assert WAY in hand.reads
        await hand.press("y")
        assert "What happens in the first minute?" in hand.reads
        assert WAY in hand.reads


def test_plain_mode_tells_it_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Once with the danger, and once with the step."""
    folder, store = folder_with_way(tmp_path), tmp_path / "cases.sqlite3"
    case = Shelf(store, folder).take_in("Deck", "tape", Deck(age_years=45), ["eats_tape"]).case
    call = ["ask", "--store", str(store), "--knowledge", str(folder), "--case", case]

    def told(*lines: str) -> str:
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        assert main(call) == 0
        return " ".join(capsys.readouterr().out.split())

    before = told("q")
    assert "What happens in the first minute?" not in before
    assert before.count(WAY) == 1
    after = told("y", "q")
    assert after.index(WAY) < after.index("What happens in the first minute?")
    assert after.count(WAY) == 2
