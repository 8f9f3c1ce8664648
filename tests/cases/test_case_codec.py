from __future__ import annotations

from typing import get_args

import pytest
from case_strategies import AT, ONE_OF_EACH, any_event
from hypothesis import given
from hypothesis import strategies as st

from diag.cases.codec import KINDS, dump_event, kind_of, load_event
from diag.cases.events import Event, Measured, Struck, TakenIn
from diag.errors import CaseError
from diag.model.trait import Deck

NOTE = '"kind":"noted","at":"2026-03-14T09:26:53+00:00"'
MEASURE = '"kind":"measured","at":"2026-03-14T09:26:53+00:00","check":"a","unit":"%","answer":"b"'
CAPTURE = '"kind":"captured","at":"2026-03-14T09:26:53+00:00","what":"speed","file":"a.wav"'
FIGURE = '"key":"a","says":"b","value":1'
CURVE = '"name":"a","says":"b","x_unit":"Hz","y_unit":"%"'
OFF = '"kind":"taken_off","at":"2026-03-14T09:26:53+00:00","layer":"lid"'
BACK = '"kind":"put_back","at":"2026-03-14T09:26:53+00:00"'
PART = '"kind":"part","at":"2026-03-14T09:26:53+00:00","part":"a belt"'
INTAKE = '"kind":"taken_in","at":"2026-03-14T09:26:53+00:00","name":"a","family":"b"'


@given(any_event)
def test_every_event_comes_back_equal(event: Event) -> None:
    """What an event says survives its way through JSON, on one line."""
    text = dump_event(event)
    assert load_event(text) == event
    assert "\n" not in text


@pytest.mark.parametrize("event", ONE_OF_EACH, ids=kind_of)
def test_each_kind_keeps_every_field(event: Event) -> None:
    """An event whose every field differs from its default comes back equal."""
    assert load_event(dump_event(event)) == event


def test_every_kind_has_its_word() -> None:
    """No kind of event is left out of what can be written."""
    assert set(KINDS.values()) == set(get_args(Event)) == {type(event) for event in ONE_OF_EACH}


def test_numbers_come_back_to_the_last_bit() -> None:
    """A measured value and the facts of a deck lose no digit."""
    value = Measured("a", 0.1 + 0.2, "%", "b", at=AT)
    deck = TakenIn("a", "b", Deck(facts={"local_hz": 1 / 3}), at=AT)
    assert load_event(dump_event(value)) == value
    assert load_event(dump_event(deck)) == deck


def test_time_of_another_zone_is_the_same_moment() -> None:
    """A case file written with local times is read as the moments that they name."""
    text = '{"kind":"struck","at":"2026-03-14T11:26:53.589793+02:00","event":2}'
    assert load_event(text) == Struck(2, at=AT)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", "no whole JSON"),
        ("{" + NOTE, "no whole JSON"),
        ("[]", "not an object"),
        ('"x"', "not an object"),
        ("[" * 100_000, "nested beyond measure"),
        ('{"kind":"exploded"}', "'exploded'"),
        ('{"kind":["noted"]}', "a list"),
        ('{"kind":"\\u001b[2J"}', "\\x1b"),
        ("{" + NOTE + "}", "no `text`"),
        ("{" + NOTE + ',"text":5}', "`text` is no text"),
        ("{" + NOTE + ',"text":"a","text":"b"}', "twice"),
        ("{" + NOTE + ',"text":"a","colour":"b"}', "`colour` is not known"),
        ("{" + NOTE + ',"text":"\\ud800"}', "U+D800"),
        ('{"kind":"noted","text":"a"}', "no `at`"),
        ('{"kind":"noted","text":"a","at":"yesterday"}', "'yesterday'"),
        ('{"kind":"noted","text":"a","at":"2026-03-14T09:26:53"}', "`at`"),
        ('{"kind":"noted","text":"a","at":"0001-01-01T00:00:00+23:00"}', "`at`"),
        ("{" + MEASURE + ',"value":NaN}', "NaN"),
        ("{" + MEASURE + ',"value":-Infinity}', "-Infinity"),
        ("{" + MEASURE + ',"value":1e999}', "not a finite number"),
        ("{" + MEASURE + ',"value":true}', "no number"),
        ("{" + MEASURE + ',"value":"5"}', "no number"),
        ("{" + MEASURE + ',"value":' + "9" * 400 + "}", "not a finite number"),
        ("{" + MEASURE + ',"value":' + "9" * 5000 + "}", "out of all range"),
        ("{" + MEASURE + ',"value":1,"sure":"skipped"}', "`sure` is 'skipped'"),
        ("{" + CAPTURE + "}", "no `figures`"),
        ("{" + CAPTURE + ',"figures":{}}', "`figures` is no list"),
        ("{" + CAPTURE + ',"figures":[5]}', "`figures` is not an object"),
        ("{" + CAPTURE + ',"figures":[{' + FIGURE + "}]}", "has no `uncertainty`"),
        ("{" + CAPTURE + ',"figures":[{' + FIGURE + ',"uncertainty":-1}]}', "below zero"),
        ("{" + CAPTURE + ',"figures":[{' + FIGURE + ',"sure":1}]}', "`sure` is not known"),
        ("{" + CAPTURE + ',"figures":[],"remarks":[1]}', "`remarks` is no text"),
        ("{" + CAPTURE + ',"figures":[],"likely":[{"says":"a","chance":2}]}', "not within"),
        ("{" + CAPTURE + ',"figures":[],"curves":[{' + CURVE + ',"x":[1],"y":[]}]}', "1 x and 0 y"),
        (
            "{" + CAPTURE + ',"figures":[],"curves":[{' + CURVE + ',"x":[],"y":[],"is_log":1}]}',
            "neither true nor false",
        ),
        ("{" + OFF + ',"what":"rope"}', "`what` is 'rope'"),
        ("{" + OFF + ',"what":"screw","count":0}', "not within 1 to 999"),
        ("{" + OFF + ',"what":"screw","tray":1000}', "numbered 1 to 999"),
        ("{" + OFF + ',"what":"screw","tray":2,"lies":"shelf"}', "in a tray and somewhere else"),
        ("{" + OFF + ',"what":"screw","to":"motor"}', "Only a wire"),
        ("{" + OFF + ',"what":"wire","place":" "}', "place that it sat is empty"),
        ("{" + BACK + ',"item":0}', "numbered 1, 2, 3"),
        ("{" + BACK + ',"item":2,"how":"glued"}', "`how` is 'glued'"),
        ("{" + PART + ',"price":-1}', "price is below zero"),
        ("{" + PART + ',"price":"5"}', "no number"),
        ("{" + PART + ',"state":"lost"}', "`state` is 'lost'"),
        ('{"kind":"struck","at":"2026-03-14T09:26:53+00:00","event":2.5}', "whole number"),
        ('{"kind":"struck","at":"2026-03-14T09:26:53+00:00","event":true}', "whole number"),
        ("{" + INTAKE + ',"deck":[]}', "`deck` is not an object"),
        ("{" + INTAKE + ',"deck":{"year":1975}}', "`year` is not known"),
        ("{" + INTAKE + ',"deck":{"age_years":"old"}}', "no number"),
        ("{" + INTAKE + ',"deck":{"traits":{"drive":5}}}', "`drive` is no text"),
        ("{" + INTAKE + ',"deck":{"facts":{"strap_hz":null}}}', "no number"),
        ("{" + INTAKE + ',"deck":{"facts":{"\\u0007":5}}}', "U+0007"),
    ],
)
def test_wrong_event_is_refused_plainly(text: str, found: str) -> None:
    """Each slip gets one message that names it and can't act on a terminal."""
    with pytest.raises(CaseError) as caught:
        load_event(text)
    assert found in caught.value.found
    assert str(caught.value).isprintable()


@given(st.text() | st.recursive(st.none() | st.text(), st.lists).map(str))
def test_junk_never_raises_anything_else(text: str) -> None:
    """No text whatever gets past as an event or out as another error."""
    with pytest.raises(CaseError):
        load_event(text)
