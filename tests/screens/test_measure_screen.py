"""Recordings at the bench and on their own screen, by keyboard."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from conftest import Bench, Hand, take_in
from recordings import speed_found
from textual.widgets import Input

from diag.cases.events import Captured, Measured, Opened, Remedied, Struck
from diag.cases.held_against import HeldAgainst
from diag.errors import MeasureError
from diag.measure.result import Figure, Measurement
from diag.session import session
from diag.session.beside import Beside
from diag.session.listening import Stopped, Watch
from diag.trail.lists import JUDGED_HEADS
from screens.bench import BenchScreen
from screens.dialogs.listening import Listening
from screens.measure import MeasureScreen

Listen = Callable[[str, Path, Watch], Measurement]


def hears(monkeypatch: pytest.MonkeyPatch, listen: Listen) -> list[Path]:
    """Let this measure all files; gives the paths that it is asked for."""
    asked: list[Path] = []

    def noted(what: str, path: Path, watch: Watch, beside: object) -> Measurement:
        asked.append(path)
        return listen(what, path, watch)

    monkeypatch.setattr(session, "listen", noted)
    return asked


def finds(percent: float, within: float) -> Listen:
    """Finds this speed error in every file."""
    return lambda what, path, watch: speed_found(percent, within)


async def name_file(hand: Hand, path: str) -> None:
    """Type a path over what stands there."""
    hand.app.screen.query_one(Input).value = ""
    await hand.write(path)
    await hand.press("enter")
    await after_measuring(hand)


async def after_measuring(hand: Hand) -> None:
    """Wait for the measurement to end."""
    while isinstance(hand.app.screen, Listening):
        await hand.pilot.pause(0.01)
    await hand.settle()


async def until_seen(hand: Hand, words: str) -> None:
    """Wait for words to be drawn; a window is there before its list is filled."""
    for _ in range(500):
        if words in hand.reads:
            return
        await hand.pilot.pause(0.01)
    raise AssertionError(hand.reads)


async def ask_speed(hand: Hand) -> None:
    """Put the speed on the card, and begin to answer it by a recording."""
    await hand.press("a")
    await hand.write("speederror")
    await hand.press("enter", "p")


async def test_recording_answers_the_check_at_hand(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Figures and answer are shown first; Enter takes both, and undo takes both back."""
    asked = hears(monkeypatch, finds(-2.5, 0.1))
    async with bench() as hand:
        await take_in(hand)
        await ask_speed(hand)
        assert "Speed: which recording?" in hand.reads
        await name_file(hand, "'/tapes/side a.wav'")
        assert asked == [Path("/tapes/side a.wav")]
        assert "Speed error: -2.50 ± 0.10 %" in hand.reads
        assert "Play a speed tape. What is the speed error?" in hand.reads
        assert not any(isinstance(event, Captured) for event in hand.events)
        await hand.press("enter")
        last = hand.events[-1]
        assert isinstance(last, Captured)
        ((reading,), figure) = last.readings, last.figures[0]
        assert (reading.check, reading.answer, reading.sure) == ("speed_error", "slow", "certain")
        assert (figure.value, figure.uncertainty, last.file) == (-2.5, 0.1, "side a.wav")
        assert isinstance(hand.app.screen, BenchScreen)
        await hand.press("u")
        assert isinstance(hand.events[-1], Struck)
        await ask_speed(hand)
        assert hand.app.screen.query_one(Input).value == "/tapes/"


async def test_slip_in_a_path_is_not_offered_again(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The folder of the last recording stays; a whole path pasted behind it stands alone."""
    found = finds(0.1, 0.1)

    def listen(what: str, path: Path, watch: Watch) -> Measurement:
        if not path.exists():
            raise MeasureError("There is no such file.", where=str(path), do="Give a path.")
        return found(what, path, watch)

    asked = hears(monkeypatch, listen)
    (tmp_path / "take.wav").touch()
    async with bench() as hand:
        await take_in(hand)
        await ask_speed(hand)
        await name_file(hand, str(tmp_path / "take.wav"))
        await hand.press("escape", "p")
        await name_file(hand, f"{tmp_path}/gone/take.wav")
        await hand.press("escape", "p")
        line = hand.app.screen.query_one(Input)
        assert line.value == f"{tmp_path}/"
        await name_file(hand, f"{line.value}{tmp_path}/take.wav")
        assert asked == [tmp_path / "take.wav", tmp_path / "gone/take.wav", tmp_path / "take.wav"]


async def test_tone_in_doubt_is_asked_for(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the tape may hold one tone or another the person is asked, and it is measured anew."""
    given: list[float | None] = []

    def listen(what: str, path: Path, watch: Watch, beside: Beside) -> Measurement:
        given.append(beside.given.nominal_hz)
        found = speed_found(-2.4 if beside.given.nominal_hz is None else 2.5, 0.1)
        return found if beside.given.nominal_hz else replace(found, tones_hz=(3150.0, 3000.0))

    monkeypatch.setattr(session, "listen", listen)
    async with bench() as hand:
        await take_in(hand)
        await ask_speed(hand)
        await name_file(hand, "/a.wav")
        await until_seen(hand, "Which tone is on the tape?")
        await hand.press("2")
        await after_measuring(hand)
        assert "Speed error: 2.50 ± 0.10 %" in hand.reads
        await hand.press("escape", "p")
        await name_file(hand, "/a.wav")
        await until_seen(hand, "Which tone is on the tape?")
        await hand.press("3")
        await hand.settle()
        assert "Speed error: -2.40 ± 0.10 %" in hand.reads
    assert given == [None, 3000.0, None]


async def test_marginal_figure_is_told_as_fairly_sure(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The person reads why before taking it; leaving it writes nothing."""
    hears(monkeypatch, finds(-1.6, 0.2))
    async with bench() as hand:
        await take_in(hand)
        await ask_speed(hand)
        await name_file(hand, "/a.wav")
        assert "(fairly sure)" in hand.reads
        assert "leaves room for another answer" in hand.reads
        await hand.press("escape")
        assert not any(isinstance(event, Captured) for event in hand.events)
        await hand.press("p")
        await name_file(hand, "/a.wav")
        await hand.press("y")
        last = hand.events[-1]
        assert isinstance(last, Captured)
        assert last.readings[0].sure == "fairly"


async def test_figures_can_be_kept_without_their_answer(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`f` keeps the figures; the check stays open."""
    hears(monkeypatch, finds(-2.5, 0.1))
    async with bench() as hand:
        await take_in(hand)
        await ask_speed(hand)
        await name_file(hand, "/a.wav")
        await hand.press("f")
        last = hand.events[-1]
        assert isinstance(last, Captured)
        assert (last.readings, len(last.figures)) == ((), 1)


async def test_refused_recording_says_what_to_do(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was found in the file and what to do; the question stays at hand."""

    def refuse(what: str, path: Path, watch: Watch) -> Measurement:
        raise MeasureError("the left channel is dead.", where=str(path), do="Swap the leads.")

    hears(monkeypatch, refuse)
    async with bench() as hand:
        await take_in(hand)
        await ask_speed(hand)
        await name_file(hand, "/a.wav")
        assert "The left channel is dead." in hand.reads
        assert "Swap the leads." in hand.reads
        await hand.press("enter")
        assert "What is the speed error?" in hand.reads


async def test_measurement_shows_how_far_it_is_and_can_be_stopped(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The bar moves while it runs; Esc ends it at its next block, and nothing is written."""
    ended = threading.Event()

    def listen(what: str, path: Path, watch: Watch) -> Measurement:
        watch.told(1.0)
        watch.told(0.43)
        while not watch.is_stopped():
            ended.wait(0.01)
        ended.set()
        raise Stopped

    hears(monkeypatch, listen)
    async with bench() as hand:
        await take_in(hand)
        await ask_speed(hand)
        hand.app.screen.query_one(Input).value = "/a.wav"
        await hand.pilot.press("enter")
        await hand.pilot.pause(0.3)
        assert "43% pass 2" in hand.reads
        await hand.pilot.press("escape")
        assert ended.wait(5)
        await hand.settle()
        assert isinstance(hand.app.screen, BenchScreen)
        assert not any(isinstance(event, Captured) for event in hand.events)


async def test_folder_lists_its_recordings(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A folder in place of a file offers the sound files in it."""
    asked = hears(monkeypatch, finds(0.1, 0.1))
    (tmp_path / "take.wav").touch()
    (tmp_path / "notes.txt").touch()
    async with bench() as hand:
        await take_in(hand)
        await ask_speed(hand)
        hand.app.screen.query_one(Input).value = str(tmp_path)
        await hand.press("enter")
        assert "take.wav" in hand.reads
        assert "notes.txt" not in hand.reads
        await hand.press("1")
        await after_measuring(hand)
        assert asked == [tmp_path / "take.wav"]


UNDER_THE_LID = """\
checks:
  speed_within:
    ask: What is the speed error, lid off?
    at: lid
    minutes: 5
    measures: {quantity: speed_error, unit: '%'}
    basis: from memory
    answers:
      slow: {says: Slow, below: -1.5, present: [speed_low]}
      right: {says: Right}
"""


async def test_recording_opens_nothing(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A check at a closed layer is answered by one without a word about the cover."""
    hears(monkeypatch, finds(-2.5, 0.1))
    folder = tmp_path / "additions" / "tape"
    folder.mkdir(parents=True)
    (folder / "within.yaml").write_text(UNDER_THE_LID, encoding="utf-8")
    async with bench(additions=tmp_path / "additions") as hand:
        await take_in(hand)
        await hand.press("a")
        await hand.write("lidoff")
        await hand.press("enter", "y", "p")
        await name_file(hand, "/a.wav")
        await hand.press("y")
        last = hand.events[-1]
        assert isinstance(last, Captured)
        assert last.readings[0].check == "speed_within"
        assert not any(isinstance(event, Opened) for event in hand.events)


async def test_check_by_eye_offers_no_recording(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And a digit goes on being a digit beside `p`."""
    hears(monkeypatch, finds(-2.5, 0.1))
    async with bench() as hand:
        await take_in(hand)
        await hand.press("a")
        await hand.write("howdoesitlook")
        await hand.press("enter", "y", "p")
        assert isinstance(hand.app.screen, BenchScreen)
        assert not any(isinstance(event, Opened | Captured) for event in hand.events)
        await hand.press("escape", "a")
        await hand.write("speederror")
        await hand.press("enter", "1", "enter")
        assert isinstance(hand.events[-1], Measured)


@pytest.mark.parametrize("size", [(80, 24), (140, 45)])
async def test_screen_sets_before_beside_after(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    """A recording before and one after the repair stand in one row, their curves in one picture."""
    hears(monkeypatch, finds(-2.5, 0.1))
    async with bench(size) as hand:
        await take_in(hand)
        await hand.press("e")
        assert "No recording was measured yet." in hand.reads
        await hand.press("p", "2")
        await name_file(hand, "/before.wav")
        await hand.press("y")
        assert isinstance(hand.app.screen, MeasureScreen)
        assert "-2.50 ± 0.10 %" in hand.reads
        assert "dotted" not in hand.reads
        await hand.press("escape", "m", "1", "y", "1")
        while not isinstance(hand.events[-1], Remedied):
            await hand.press("enter")
        hears(monkeypatch, finds(-0.2, 0.05))
        await hand.press("e", "p", "2")
        await name_file(hand, "/after.wav")
        await hand.press("y")
        assert "Speed error -2.50 ± 0.10 % -0.20 ± 0.05 %" in hand.reads
        assert "before: dotted, after: solid" in hand.reads
        assert any(0x2800 < ord(sign) <= 0x28FF for sign in hand.sees)
        await hand.press("u")
        assert "-0.20" not in hand.reads


async def test_one_recording_gives_all_that_it_allows(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every measurement that can be made is shown and kept, the others with why not."""
    found: dict[str, Measurement | MeasureError] = {
        "speed": speed_found(-2.5, 0.1),
        "level": Measurement(
            what="level",
            figures=(Figure(key="level_dbfs", says="level", value=-9, uncertainty=0.1, unit="dB"),),
            source="common_practice",
        ),
        "noise": MeasureError("it holds a tone.", do="Play a blank stretch."),
    }
    monkeypatch.setattr(session, "listen_to_all", lambda path, watch, beside: found)
    async with bench((140, 45)) as hand:
        await take_in(hand)
        await hand.press("e", "p", "1")
        await name_file(hand, "/a.wav")
        assert "Noise: it holds a tone. Play a blank stretch." in hand.reads
        assert "Level: -9.00 ± 0.10 dB" in hand.reads
        await hand.press("y")
        kept = [event for event in hand.events if isinstance(event, Captured)]
        assert [event.what for event in kept] == ["speed", "level"]
        assert [len(event.readings) for event in kept] == [1, 0]
        assert "1 of 2" in hand.reads
        await hand.press("right")
        assert "Level and balance 2 of 2" in hand.reads


async def test_recording_that_allows_nothing_is_told(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Why for each kind, and nothing to take."""
    found = {"speed": MeasureError("no tone stands out.", do="Play the speed tape.")}
    monkeypatch.setattr(session, "listen_to_all", lambda path, watch, beside: found)
    async with bench() as hand:
        await take_in(hand)
        await hand.press("e", "p", "1")
        await name_file(hand, "/a.wav")
        assert "Speed: no tone stands out. Play the speed tape." in hand.reads
        await hand.press("enter")
        assert isinstance(hand.app.screen, MeasureScreen)
        assert not any(isinstance(event, Captured) for event in hand.events)


WANTED = """\
says: What its maker promised
source: common_practice
limits:
  speed_error_percent: {says: Speed error, unit: '%', within: 1}
  level_dbfs: {says: Level, unit: dB, at_least: -20}
"""


@pytest.mark.parametrize("size", [(80, 24), (140, 45)])
async def test_figures_are_held_against_a_specification(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, size: tuple[int, int]
) -> None:
    """One of the user's own: chosen by `s`, each limit with its verdict, and what is missing."""
    hears(monkeypatch, finds(-2.5, 0.1))
    folder = tmp_path / "additions" / "specifications"
    folder.mkdir(parents=True)
    (folder / "attic_deck.yaml").write_text(WANTED, encoding="utf-8")
    async with bench(size, additions=tmp_path / "additions") as hand:
        await take_in(hand)
        await hand.press("e", "p", "2")
        await name_file(hand, "/a.wav")
        await hand.press("y")
        assert "Against" not in hand.reads
        await hand.press("s", "1")
        assert "Against: What its maker promised 2 of 2" in hand.reads
        assert "Speed error ±1 % -2.50 ± 0.10 %: fail - -1.50 ± 0.10 %" in hand.reads
        assert list(JUDGED_HEADS) in [row.split() for row in hand.sees.splitlines()]
        assert isinstance(hand.events[-1], HeldAgainst)
        assert "Not measured: Level" in hand.reads
        await hand.press("right")
        assert "Speed 1 of 2" in hand.reads


TAPE = """\
says: Tones of the attic
holds: tones
tones_hz: [315, 1000, 10000]
reference_hz: 315
replay_us: 120
basis: from memory
"""


async def test_response_asks_for_the_test_tape(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A described tape goes to the measurement; with our own signals none is needed."""
    tapes: list[str | None] = []

    def listen(what: str, path: Path, watch: Watch, beside: Beside) -> Measurement:
        tapes.append(beside.given.tape and beside.given.tape.says)
        return Measurement(what=what, figures=(), source="from_memory")

    monkeypatch.setattr(session, "listen", listen)
    folder = tmp_path / "additions" / "test_tapes"
    folder.mkdir(parents=True)
    (folder / "attic.yaml").write_text(TAPE, encoding="utf-8")
    async with bench(additions=tmp_path / "additions") as hand:
        await take_in(hand)
        for choice in ("2", "1"):
            await hand.press("e", "p", "5")
            hand.app.screen.query_one(Input).value = "/a.wav"
            await hand.press("enter")
            await until_seen(hand, "Tones of the attic")
            await hand.press(choice)
            await after_measuring(hand)
            await hand.press("escape", "escape")
        assert tapes == ["Tones of the attic", None]
