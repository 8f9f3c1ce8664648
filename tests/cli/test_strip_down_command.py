"""`benchtrail strip-down`."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from small_case import small_shelf, taken_in

from diag.session.session import Session

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """A case, just taken in."""
    return taken_in(small_shelf(tmp_path))


@pytest.fixture
def run(session: Session, command: Run) -> Run:
    """Runs a part of the command on the case; gives the exit code, stdout and stderr."""
    return lambda part, *words: command("strip-down", part, session.case, *words)


def test_what_comes_off_goes_back(run: Run) -> None:
    """As on the screen: how many, from where, into which tray; what is loose is told each time."""
    told = run("open", "lid")[2]
    assert told.startswith("Caution: ")
    assert told.endswith("Put down as open: lid.\n")
    code, out, told = run("off", "lid", "screw", "4", "rear", "edge,", "two", "are", "long", "@5")
    assert (code, told) == (0, "")
    assert out.splitlines() == [
        "4  4 screws, rear edge; tray 5; two are long",
        "",
        "lid: Four screws of tray 5 are unaccounted for.",
    ]
    assert "Three screws of tray 5 are unaccounted for." in run("back", "4", "1")[1]
    assert "Nothing that was told to be off is unaccounted for." in run("back", "4")[1]
    listed = run("list")[1].splitlines()
    assert listed[0] == "lid (open): Lid off"
    assert "[Put back: screw, rear edge; Put back: 3 screws, rear edge]" in " ".join(
        line.strip() for line in listed[1:]
    )


def test_next_thing_goes_into_the_tray_in_use(run: Run) -> None:
    """And a lever stays in the deck."""
    run("off", "lid", "screw", "4", "@5")
    assert "2 clips; tray 5" in run("off", "lid", "clip", "2")[1]
    assert "lever, trigger; moved, still in the deck" in run("off", "lid", "lever", "trigger")[1]
    assert "look that each finger is in front" in run("loose")[1]


def test_nothing_is_refused_and_what_is_loose_is_told(run: Run, session: Session) -> None:
    """A layer that isn't open, more back than came off, and closing over loose things."""
    assert "'lid' is not put down as open" in run("off", "lid", "spring", "2")[2]
    code, out, told = run("back", "3", "5")
    assert (code, told) == (0, "Only 2 of them are left.\n")
    assert "Put back: 2 springs" in out
    code, _, told = run("back", "3")
    assert (code, told) == (0, "All of them are accounted for already.\n")
    run("open", "lid")
    run("off", "lid", "washer", "3")
    code, out, told = run("close", "lid")
    assert code == 0
    assert told.splitlines()[-1] == "Put down as closed: lid."
    assert "lid: Two springs: look that each is hooked" in told
    assert "Three washers of tray 1 are unaccounted for." in out
    assert session.reload().state.open_layers == ()


def test_new_ones_and_left_out_ones_count(run: Run) -> None:
    """What became of them is told."""
    run("off", "lid", "clip", "2")
    assert "New in its place: clip" in run("back", "3", "1", "--how", "new")[1]
    assert "Left out: clip" in run("back", "3", "--how", "left_out")[1]


def test_what_came_off_is_said_anew_under_its_label(run: Run) -> None:
    """Its tray stays unless another is named."""
    run("off", "lid", "screw", "4", "@5")
    assert run("correct", "3", "6", "sides")[1].startswith("3  6 screws, sides; tray 5")


def test_json_has_all_of_it(run: Run) -> None:
    """With numbers as numbers."""
    run("open", "lid")
    run("off", "lid", "wire", "red,", "board", "3,", "motor")
    told = json.loads(run("back", "4", "--json")[1])
    assert told["layers"] == []
    told = json.loads(run("list", "--json")[1])
    assert (told["minutes_spent"], told["minutes_owed"]) == (4, 5)
    (layer,) = told["layers"]
    (wire,) = layer["things"]
    assert (layer["layer"], layer["open"], layer["unaccounted"]) == ("lid", True, [])
    assert (wire["label"], wire["kind"], wire["count"], wire["left"]) == (4, "wire", 1, 0)
    assert wire["says"].startswith("red wire from board 3 to motor")
    assert wire["returned"] == [{"count": 1, "how": "back"}]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("off", "lidd", "screw", "4"), "Did you mean 'lid'"),
        (("open", "lidd"), "Did you mean 'lid'"),
        (("back", "7"), "event 7: It took nothing off."),
        (("correct", "7", "3"), "event 7: It took nothing off."),
        (("off", "lid", "screw", "0"), "not within 1 to 999"),
        (("back", "7", "0"), "event 7: It took nothing off."),
    ],
)
def test_bad_call_is_told_and_writes_nothing(
    run: Run, session: Session, words: tuple[str, ...], told: str
) -> None:
    """With what to do."""
    code, out, said = run(*words)
    assert (code, out) == (2, "")
    assert told in said
    assert len(session.reload().state.live) == 2


def test_labels_are_written(run: Run, tmp_path: Path) -> None:
    """The same page as `case labels` writes."""
    run("off", "lid", "screw", "4", "@5")
    assert run("labels", "--to", "page.html")[0] == 0
    assert "4 screws" in (tmp_path / "page.html").read_text(encoding="utf-8")


def test_closed_deck_is_told(run: Run) -> None:
    """Nothing is open, and nothing off."""
    code, out, told = run("list")
    assert (code, out) == (0, "")
    assert "Nothing is open, and nothing was told to be off." in told
