"""The demo: an invented case of the shipped book, on the shelf or as plain text."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from diag.cases.case_file import read_case_file
from diag.cases.events import (
    Acknowledged,
    Answered,
    Closed,
    Event,
    Measured,
    Noted,
    Opened,
    Remedied,
    Struck,
    SymptomTold,
    TakenIn,
)
from diag.cases.fold import fold
from diag.cases.store import CaseStore
from diag.model.book import Book
from diag.model.figures import CautionId
from diag.reading.book import read_book
from diag.reading.location import shipped
from screens.cli.demo import STORY, put_on_shelf
from screens.cli.main import main


@pytest.fixture(scope="module")
def book() -> Book:
    """The shipped book of the demo's family."""
    return read_book(shipped(), "cassette")


@pytest.fixture(scope="module")
def events() -> tuple[Event, ...]:
    """The events of the demo."""
    return read_case_file(STORY).events


def unknown(book: Book, event: Event) -> list[str]:
    """The ids of an event that the book does not have."""
    match event:
        case TakenIn():
            wrong = [t for t, v in event.deck.traits.items() if v not in book.traits[t].one_of]
            return wrong + [fact for fact in event.deck.facts if fact not in book.facts]
        case SymptomTold():
            return [] if event.symptom in book.symptoms else [event.symptom]
        case Answered() | Measured():
            check = book.checks.get(event.check)
            fits = check and (not event.answer or event.answer in check.answers)
            return [] if fits else [f"{event.check} {event.answer}"]
        case Opened() | Closed():
            return [] if event.layer in book.layers else [event.layer]
        case Remedied():
            return [] if event.remedy in book.remedies else [event.remedy]
        case Acknowledged():
            known = event.caution in book.cautions and event.before in {
                *book.checks,
                *book.remedies,
                *book.layers,
            }
            return [] if known else [f"{event.caution} {event.before}"]
        case Noted() | Struck():
            return []


def test_every_id_of_the_demo_stands_in_the_shipped_book(
    book: Book, events: tuple[Event, ...]
) -> None:
    """Symptoms, traits, checks with their answers, layers, remedies and cautions are all there."""
    assert [name for event in events for name in unknown(book, event)] == []


def test_demo_has_a_step_of_every_kind(events: tuple[Event, ...]) -> None:
    """It shows everything that can happen to a deck, several repairs and a doubtful answer."""
    assert {type(event) for event in events} == {
        TakenIn,
        SymptomTold,
        Answered,
        Measured,
        Opened,
        Closed,
        Remedied,
        Acknowledged,
        Noted,
        Struck,
    }
    assert sum(isinstance(event, Remedied) for event in events) >= 3
    assert {e.sure for e in events if isinstance(e, Answered)} >= {"fairly", "cant_tell"}


def test_dangers_of_the_demo_are_read_before_their_step(
    book: Book, events: tuple[Event, ...]
) -> None:
    """Nobody learns from the demo to pass a danger by."""
    read: set[tuple[str, str]] = set()
    for event in events:
        if isinstance(event, Acknowledged):
            read.add((event.caution, event.before))
        step, cautions = "", tuple[CautionId, ...]()
        if isinstance(event, Answered) and event.answer:
            step, cautions = event.check, book.checks[event.check].cautions
        elif isinstance(event, Remedied):
            step, cautions = event.remedy, book.remedies[event.remedy].cautions
        for name in cautions:
            assert book.cautions[name].severity == "care" or (name, step) in read


def test_demo_is_put_on_the_shelf_once(tmp_path: Path) -> None:
    """A second call finds it again, also after somebody has gone on with it."""
    path = tmp_path / "cases.sqlite3"
    case = put_on_shelf(path)
    store = CaseStore(path)
    last = store.events(case)[-1]
    store.append(case, Noted(at=last.at, text="played with"), after=len(store.events(case)))
    assert put_on_shelf(path) == case
    assert [found.id for found in store.cases()] == [case]


def test_demo_without_terminal_touches_no_store(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It says what to call instead and exits with 2."""
    store = tmp_path / "cases.sqlite3"
    assert main(["demo", "--store", str(store)]) == 2
    assert "demo --plain" in capsys.readouterr().err
    assert not store.exists()


def test_plain_demo_tells_every_event_with_what_it_moved(
    capsys: pytest.CaptureFixture[str], events: tuple[Event, ...]
) -> None:
    """Each event has its number; repairs, what comes next and what moved are told; exit code 0."""
    assert main(["demo", "--plain"]) == 0
    out = capsys.readouterr().out
    numbers = re.findall(r"^ *(\d+)  \d\d \w{3} \d\d:\d\d  ", out, re.MULTILINE)
    assert [int(number) for number in numbers] == list(range(1, len(events) + 1))
    told = " ".join(out.split())
    for event in fold(events).live:
        if isinstance(event[1], Noted):
            assert event[1].text in told
    assert out.count("before: ") == out.count("after:  ") >= 10
    assert out.count("next: ") >= 10
    assert max(map(len, out.splitlines())) <= 78
