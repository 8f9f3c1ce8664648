"""Figures of recordings as answers of checks, and as what a case keeps."""

from __future__ import annotations

import math
import os
import wave
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from book_folder import BookFolder
from hypothesis import given, settings
from hypothesis import strategies as st
from recordings import speed_found
from small_case import record, small_shelf, taken_in

from diag.errors import MeasureError
from diag.measure.capture import write_capture
from diag.measure.catalogue import MEASURES
from diag.measure.geometry import PARTS
from diag.measure.result import Curve, Figure, Measurement
from diag.measure.sound import Samples
from diag.model.check import Answer, Check, Measures
from diag.model.trait import Deck
from diag.reading.book import read_book
from diag.reading.location import families, shipped
from diag.session import listening, session
from diag.session.beside import READ_WITHIN, beside
from diag.session.listening import Watch
from diag.session.measured import (
    KINDS,
    MOST_POINTS,
    QUANTITIES,
    RATES,
    kept_curves,
    kept_figures,
    kept_name,
    measured_by,
    readings_of,
)
from diag.session.session import Session
from diag.session.shelf import Shelf

RATE_CHECK = Check(
    id="c",
    ask="?",
    at="outside",
    minutes=1.0,
    answers={
        "roller": Answer(id="roller", present=("line_at_roller_rate",)),
        "belt": Answer(id="belt", present=("line_at_belt_rate",)),
        "capstan": Answer(id="capstan", present=("line_at_capstan_rate",)),
        "none": Answer(id="none"),
    },
)
SLOW, RIGHT, NARROW = -1.5, 1.5, (0.2, 0.3)


@pytest.fixture
def at_bench(tmp_path: Path) -> Session:
    """The small case; its check `speed` calls all below -1.5 % slow."""
    return taken_in(small_shelf(tmp_path))


def hears(monkeypatch: pytest.MonkeyPatch, found: Measurement) -> None:
    """Whatever file is measured, this is found."""
    monkeypatch.setattr(session, "listen", lambda what, path, watch, beside: found)


@pytest.mark.parametrize(
    ("value", "within", "answer", "sure"),
    [
        (-2.5, 0.1, "slow", "certain"),
        (-1.6, 0.05, "slow", "certain"),
        (-1.6, 0.2, "slow", "fairly"),
        (-1.45, 0.2, "right", "fairly"),
        (0.0, 0.1, "right", "certain"),
    ],
)
def test_interval_across_a_border_is_fairly_sure_only(
    at_bench: Session,
    monkeypatch: pytest.MonkeyPatch,
    value: float,
    within: float,
    answer: str,
    sure: str,
) -> None:
    """The answer is that of the value, certain where the whole 95 % interval agrees."""
    hears(monkeypatch, speed_found(value, within))
    snapshot = at_bench.take_capture(at_bench.hear("speed", Path("tape.wav")))
    given = snapshot.state.answers["speed"]
    assert (given.answer, given.sure) == (answer, sure)
    assert snapshot.state.measured["speed"].value == value


def in_doubt(value: float, otherwise: float, chance: float) -> Measurement:
    """A speed error that is another one if the tape holds the other tone."""
    found = speed_found(value, 0.1)
    other = replace(found.figures[0], key="speed_error_otherwise_percent", value=otherwise)
    likely = (("one tone", chance), ("other tone", 1 - chance))
    return replace(found, figures=(*found.figures, other), likely=likely)


@pytest.mark.parametrize(
    ("value", "otherwise", "chance", "told"),
    [
        (-2.4, 2.5, 0.52, None),
        (-1.7, 3.2, 0.75, ("slow", "fairly")),
        (0.5, -4.3, 0.94, ("right", "fairly")),
        (-2.5, -7.1, 0.88, ("slow", "certain")),
        (-1.55, -6.2, 0.9, ("slow", "fairly")),
        (-6.2, -1.55, 0.6, ("slow", "fairly")),
    ],
)
def test_speed_in_doubt_is_never_certain_unless_both_tones_say_the_same(
    at_bench: Session, value: float, otherwise: float, chance: float, told: tuple[str, str] | None
) -> None:
    """As likely as not is no answer; likely is fairly sure."""
    check = at_bench.book.checks["speed"]
    readings = readings_of([check], Deck(), in_doubt(value, otherwise, chance))
    assert [(each.answer, each.sure) for each in readings] == ([told] if told else [])


@pytest.mark.parametrize("family", families(shipped()))
def test_check_that_a_recording_answers_is_made_with_all_covers_on(family: str) -> None:
    """Else the plan would charge for opening what a recording doesn't ask for."""
    book = read_book(shipped(), family)
    told = {name: check.at for name, check in book.checks.items() if measured_by(check)}
    assert told
    assert set(told.values()) == {book.outside}, told


def test_tone_between_two_test_tones_answers_nothing(at_bench: Session, tmp_path: Path) -> None:
    """By the real measurement, and its speed goes to no later one; until the tone is told."""
    path = tmp_path / "tone.wav"
    seconds = np.arange(22_050 * 8) / 22_050
    write_capture(path, Samples(0.3 * np.sin(2 * np.pi * 3075 * seconds)[:, None], 22_050))
    heard = at_bench.hear("speed", path)
    assert not heard.readings
    assert any("Which one is on the tape?" in remark for remark in heard.found.remarks)
    state = at_bench.take_capture(heard).state
    assert beside(at_bench.book, state).speed_error_percent is None


@given(value=st.floats(-5, 5), within=st.floats(0, 3))
@settings(deadline=None)
def test_sureness_agrees_with_a_look_at_the_whole_interval(value: float, within: float) -> None:
    """Against a fine comb of the interval, on a check that has a narrow band in its middle."""
    low, high = NARROW
    answers = {
        "slow": Answer(id="slow", below=SLOW),
        "odd": Answer(id="odd", above=low, below=high),
        "fast": Answer(id="fast", above=RIGHT),
        "right": Answer(id="right"),
    }
    check = Check(
        id="c",
        ask="?",
        at="outside",
        minutes=1.0,
        answers=answers,
        measures=Measures(quantity="speed_error", unit="%"),
    )
    found = speed_found(value, within)
    (reading,) = readings_of([check], Deck(), found)
    comb = [value - within + 2 * within * n / 400 for n in range(401)]
    agreed = {check.answer_for(at) for at in comb} == {reading.answer}
    borders = (SLOW, RIGHT, *NARROW)
    if all(abs(abs(border - value) - within) > 2e-2 for border in borders):
        assert (reading.sure == "certain") == agreed


@pytest.mark.parametrize(
    ("db", "within", "value", "sure"),
    [(-2.6, 0.1, 2.6, "certain"), (2.1, 0.5, 2.1, "fairly"), (-0.3, 1.0, 0.3, "certain")],
)
def test_difference_without_sign_folds_its_interval(
    db: float, within: float, value: float, sure: str
) -> None:
    """-2.6 dB is 2.6 dB apart; an interval about zero begins at zero."""
    check = Check(
        id="c",
        ask="?",
        at="outside",
        minutes=1.0,
        answers={"apart": Answer(id="apart", above=2.0), "alike": Answer(id="alike")},
        measures=Measures(quantity="channel_difference", unit="dB"),
    )
    figure = Figure(key="balance_db", says="Balance", value=db, uncertainty=within, unit="dB")
    found = Measurement(what="level", figures=(figure,), source="from_memory")
    (reading,) = readings_of([check], Deck(), found)
    assert (reading.value, reading.sure) == (value, sure)


@pytest.mark.parametrize(("limit", "answer"), [(62.0, "clean"), (55.2, None), (50.0, None)])
def test_lower_limit_answers_only_what_it_settles(limit: float, answer: str | None) -> None:
    """Erased by at least 62 dB is clean; at least 50 dB may be either, and so may 55.2 +- 0.5."""
    check = Check(
        id="c",
        ask="?",
        at="outside",
        minutes=1.0,
        answers={"residue": Answer(id="residue", below=55.0), "clean": Answer(id="clean")},
        measures=Measures(quantity="erasure", unit="dB"),
    )
    figure = Figure(
        key="erase_depth_at_least_db", says="Erased", value=limit, uncertainty=0.5, unit="dB"
    )
    found = Measurement(what="erase", figures=(figure,), source="from_memory")
    readings = readings_of([check], Deck(), found)
    assert [(r.answer, r.sure) for r in readings] == ([(answer, "certain")] if answer else [])


@pytest.mark.parametrize(
    ("likely", "answers"),
    [
        ((("capstan", 0.6), ("flywheel", 0.37), ("motor", 0.03)), [("capstan", "certain")]),
        ((("pinch roller", 0.8), ("unknown", 0.2)), [("roller", "fairly")]),
        ((("pinch roller", 0.5), ("capstan belt", 0.5)), []),
        ((("drive idler", 0.99),), []),
        ((("unknown", 0.97), ("others", 0.03)), [("none", "fairly")]),
    ],
)
def test_likely_part_answers_at_which_rate_it_wavers(
    likely: tuple[tuple[str, float], ...], answers: list[tuple[str, str]]
) -> None:
    """Parts that turn together count together; what the check has no answer for answers nothing."""
    figure = Figure(key="flutter_rate_hz", says="rate", value=7.6, uncertainty=0.1, unit="Hz")
    found = Measurement(what="flutter", figures=(figure,), source="common_practice", likely=likely)
    assert measured_by(RATE_CHECK) == "flutter"
    readings = readings_of([RATE_CHECK], Deck(), found)
    assert [(r.answer, r.sure) for r in readings] == answers
    assert {r.value for r in readings} <= {7.6}


@pytest.mark.parametrize(
    ("share", "answers"), [(6.0, [("none", "certain")]), (30.0, [("none", "fairly")]), (80.0, [])]
)
def test_no_rate_is_an_answer_as_far_as_one_could_have_been_seen(
    share: float, answers: list[tuple[str, str]]
) -> None:
    """It is softer the more of the flutter a rate could have unseen, and none from half of it."""
    key = "flutter_line_share_at_most_percent"
    figure = Figure(key=key, says="share", value=share, uncertainty=0.0, unit="%")
    found = Measurement(what="flutter", figures=(figure,), source="common_practice")
    readings = readings_of([RATE_CHECK], Deck(), found)
    assert [(r.answer, r.sure) for r in readings] == answers
    assert {(r.value, r.unit) for r in readings} <= {(share, "%")}


@pytest.mark.parametrize("family", families(shipped()))
def test_no_rate_speaks_against_every_part(family: str) -> None:
    """In each shipped book, and each part to which flutter is matched has an answer there."""
    check = read_book(shipped(), family).checks["flutter_rate"]
    assert set(RATES) == set(PARTS)
    assert check.evidence["none"] == dict.fromkeys(RATES.values(), False)


def test_every_quantity_of_the_table_is_asked_in_its_unit() -> None:
    """No entry of the table is idle: some shipped check asks for it, in that unit."""
    asked = {
        check.measures.quantity
        for family in families(shipped())
        for check in read_book(shipped(), family).checks.values()
        if check.measures and measured_by(check)
    }
    assert asked == set(QUANTITIES)


def test_parts_are_those_that_flutter_is_matched_to() -> None:
    """Every part of the table is one that the match knows, its sign one of a shipped book."""
    book = read_book(shipped(), "cassette")
    assert set(RATES) <= set(PARTS)
    assert set(RATES.values()) <= set(book.signs)
    assert measured_by(book.checks["flutter_rate"]) == "flutter"


def test_every_kind_of_measurement_has_its_words() -> None:
    """What can be measured and what is offered agree."""
    assert set(MEASURES) == set(KINDS)


def test_recording_is_kept_and_taken_back_like_an_answer(
    at_bench: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Figures, curve and answer come and go with one event; the folder is remembered."""
    hears(monkeypatch, speed_found(-2.5, 0.1))
    before = at_bench.snapshot
    heard = at_bench.hear("speed", Path("/tapes/tape 1.wav"), asked="speed")
    assert at_bench.snapshot == before
    after = at_bench.take_capture(heard)
    ((number, kept),) = after.state.captures
    assert (kept.file, kept.figures[0].value, kept.figures[0].unit) == ("tape 1.wav", -2.5, "%")
    assert kept.remarks == ("It runs slow throughout.",)
    assert [part.says for part in kept.likely] == ["capstan", "unknown"]
    assert number == after.revision
    assert at_bench.last_folder == Path("/tapes")
    assert after.minutes > before.minutes
    ranked = {cause.id: cause.probability for cause in after.assessment.ranking}  # type: ignore[union-attr]
    undone = at_bench.undo()
    assert undone.state.captures == ()
    assert undone.state.answers == before.state.answers
    assert {c.id: c.probability for c in undone.assessment.ranking} != ranked  # type: ignore[union-attr]
    assert at_bench.redo().state.captures == ((number, kept),)


def test_figures_alone_answer_nothing(at_bench: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    """The figures can be kept without what they answer."""
    hears(monkeypatch, speed_found(-2.5, 0.1))
    state = at_bench.take_capture(at_bench.hear("speed", Path("a.wav")), with_answers=False).state
    assert state.captures
    assert "speed" not in state.answers


def test_file_that_cannot_be_measured_is_named(at_bench: Session, tmp_path: Path) -> None:
    """By the real measurements: a file that is not there, one that is no sound, a silent one."""
    text, silent = tmp_path / "notes.wav", tmp_path / "silent.wav"
    text.write_text("not a sound", encoding="utf-8")
    with wave.open(str(silent), "wb") as file:
        file.setparams((2, 2, 48_000, 0, "NONE", ""))
        file.writeframes(bytes(4 * 48_000 * 8))
    for path in (tmp_path / "none.wav", text, silent):
        with pytest.raises(MeasureError) as caught:
            at_bench.hear("level", path)
        assert caught.value.where == str(path)
        assert caught.value.do


def test_all_that_a_recording_allows(at_bench: Session, tmp_path: Path) -> None:
    """By the real measurements: of a tone its level, and for each other kind why not."""
    seconds = np.arange(48_000 * 8) / 48_000
    tone = (0.3 * 32767 * np.sin(2 * np.pi * 315 * seconds)).astype("<i2")
    path = tmp_path / "tone.wav"
    with wave.open(str(path), "wb") as file:
        file.setparams((2, 2, 48_000, 0, "NONE", ""))
        file.writeframes(np.stack([tone, tone], axis=1).tobytes())
    found = at_bench.hear_all(path)
    heard = {each.what: each for each in found.heard}
    assert "level" in heard
    assert heard["level"].found["balance_db"].value == pytest.approx(0, abs=1e-9)
    assert {*heard, *(what for what, _ in found.refused)} == set(MEASURES) <= set(KINDS)
    assert dict(found.refused)["hum"]
    at_bench.take_capture(heard["level"])


def test_recording_needs_no_cover_off(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A check that stands at a closed cover is answered, be it asked or not; nothing is opened."""
    folder = BookFolder(tmp_path / "knowledge")
    folder.spoil(
        "reels/idler.yaml", "    at: outside\n    minutes: 6", "    at: lid\n    minutes: 6"
    )
    shelf = Shelf(tmp_path / "cases.sqlite3", tmp_path / "knowledge")
    at_bench = shelf.take_in("Deck", "tape", Deck(age_years=45.0), [], "")
    hears(monkeypatch, speed_found(-2.5, 0.1))
    for asked in ("", "speed_error"):
        readings = at_bench.hear("speed", Path("a.wav"), asked=asked).readings
        assert [reading.check for reading in readings] == ["speed_error"]
    state = at_bench.take_capture(at_bench.hear("speed", Path("a.wav"))).state
    assert state.answers["speed_error"].answer == "slow"
    assert state.open_layers == ()


@pytest.fixture(scope="module")
def shipped_deck(tmp_path_factory: pytest.TempPathFactory) -> Session:
    """A deck of the shipped book, all its covers on."""
    shelf = Shelf(tmp_path_factory.mktemp("store") / "cases.sqlite3", shipped())
    deck = Deck(age_years=40.0, traits={"record_switch": "slide"})
    return shelf.take_in("Deck", "cassette", deck, [], "")


def test_azimuth_is_told_with_the_well_closed(shipped_deck: Session, tmp_path: Path) -> None:
    """By the real measurement: the right channel six samples late at 48 kHz is 450 degrees."""
    noise = np.random.default_rng(5).normal(0, 0.1, 48_000 * 6)
    both = np.stack([noise[6:], noise[:-6]], axis=1)
    path = tmp_path / "noise.wav"
    with wave.open(str(path), "wb") as file:
        file.setparams((2, 2, 48_000, 0, "NONE", ""))
        file.writeframes((both * 32767).astype("<i2").tobytes())
    heard = shipped_deck.hear("azimuth", path)
    (reading,) = heard.readings
    assert (reading.check, reading.answer, reading.sure) == ("azimuth_phase", "off", "certain")
    assert reading.value == pytest.approx(450, abs=5)


def test_tape_of_its_own_answers_only_what_it_was_made_for(
    shipped_deck: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The response of a test tape says nothing of what the deck records."""
    key = "response_315_to_10k_db"
    figure = Figure(key=key, says="10 kHz", value=-6.0, uncertainty=0.2, unit="dB")
    found = Measurement(what="response", figures=(figure,), source="iec_60094_2")
    hears(monkeypatch, found)
    assert shipped_deck.hear("response", Path("a.wav")).readings == ()
    (reading,) = shipped_deck.hear("response", Path("a.wav"), asked="record_response").readings
    assert (reading.check, reading.answer) == ("record_response", "dull")


def test_what_cannot_be_written_down_is_left_out() -> None:
    """A level of nothing and an x that a logarithmic axis can't show are not kept."""
    silent = Figure(key="level_dbfs", says="Level", value=-math.inf, uncertainty=0.1, unit="dB")
    curve = Curve(
        name="c", says="C", x=(0.0, 1.0), y=(1.0, math.nan), x_unit="", y_unit="", is_log=True
    )
    found = Measurement(what="level", figures=(silent,), curves=(curve,), source="from_memory")
    assert kept_figures(found) == ()
    assert kept_curves(found) == ()


@pytest.mark.parametrize("is_log", [True, False])
def test_long_curve_keeps_its_peak(is_log: bool) -> None:
    """One needle among 100000 points is still there afterwards, in order of x."""
    x = tuple(0.01 * (n + 1) for n in range(100_000))
    y = tuple(1.0 if n == 54_321 else 0.0 for n in range(100_000))
    curve = Curve(name="c", says="C", x=x, y=y, x_unit="Hz", y_unit="%", is_log=is_log)
    found = Measurement(what="flutter", figures=(), curves=(curve,), source="from_memory")
    (kept,) = kept_curves(found)
    assert 2 <= len(kept.x) <= MOST_POINTS
    assert kept.x[kept.y.index(1.0)] == pytest.approx(x[54_321], rel=1e-4)
    assert list(kept.x) == sorted(kept.x)


def test_file_name_acts_on_no_terminal() -> None:
    """Control characters are shown, and what is too long loses its beginning."""
    assert kept_name("a\x1b[2J.wav") == "a\\x1b[2J.wav"
    assert kept_name("x" * 500 + ".wav").endswith("x.wav")
    assert len(kept_name("x" * 500 + ".wav")) <= 200


@pytest.mark.parametrize(
    "typed",
    ["{}", " {} ", "'{}'", '"{}"', "file://{url}", "{backslash}"],
)
def test_pasted_path_is_found(tmp_path: Path, typed: str) -> None:
    """As terminals paste a file that was dropped on them."""
    path = tmp_path / "side a.wav"
    path.touch()
    text = typed.format(
        path, url=str(path).replace(" ", "%20"), backslash=str(path).replace(" ", r"\ ")
    )
    assert listening.path_of(text) == path


def test_folder_lists_its_recordings_newest_first(tmp_path: Path) -> None:
    """Sound files only; a folder that is not there has none."""
    for age, name in enumerate(("c.wav", "a.FLAC", "b.txt")):
        (tmp_path / name).touch()
        os.utime(tmp_path / name, (1000 - age, 1000 - age))
    assert [p.name for p in listening.recordings_in(tmp_path)] == ["c.wav", "a.FLAC"]
    assert listening.recordings_in(tmp_path / "none") == ()


def test_watched_sound_is_the_same_sound_and_can_be_stopped() -> None:
    """Every block comes through unchanged with its share told; a stop ends it at once."""
    values = np.arange(20.0).reshape(10, 2) / 20
    told: list[float] = []
    watched = listening.Watched(Samples(values, 48_000), Watch(told.append))
    assert (watched.rate_hz, watched.channels, watched.frames) == (48_000, 2, 10)
    assert np.array_equal(np.concatenate(list(watched.blocks(4))), values)
    assert told == [0.4, 0.8, 1.0]
    stopped = listening.Watched(Samples(values, 48_000), Watch(is_stopped=lambda: True))
    with pytest.raises(listening.Stopped):
        next(stopped.blocks(4))


def test_speed_of_the_deck_goes_to_later_measurements(at_bench: Session) -> None:
    """The latest speed since the last repair, be it from a recording or typed."""

    def known() -> tuple[float, float] | None:
        return beside(at_bench.book, at_bench.snapshot.state).speed_error_percent

    assert known() is None
    at_bench.measure("speed", -2.0)
    assert known() == (-2.0, READ_WITHIN)
    record(at_bench, -2.5, 0.1)
    assert known() == (-2.5, 0.1)
    at_bench.mend("oil", "given_up")
    assert known() == (-2.5, 0.1)
    at_bench.mend("renew")
    assert known() is None
    at_bench.measure("speed", 0.5)
    assert known() == (0.5, READ_WITHIN)
    at_bench.undo()
    at_bench.undo()
    assert known() == (-2.5, 0.1)
