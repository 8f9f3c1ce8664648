"""What a case knows of its deck is used when its recordings are measured."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from recordings import speed_found
from small_case import small_shelf, taken_in

from diag.cases.held_against import KeptSize
from diag.errors import CaseError
from diag.measure.geometry import Geometry
from diag.measure.result import Measurement
from diag.model.figures import Name, SourceId
from diag.model.specification import Limit, Specification
from diag.model.trait import Deck, Fact
from diag.reading.book import read_book
from diag.reading.location import families, shipped
from diag.session import session
from diag.session.beside import Beside
from diag.session.held_against import hold_against
from diag.session.of_deck import LOCAL_HZ, TAPE_SPEED, OfDeck, of_deck
from diag.session.session import Session

SIZED = Specification(
    id="mine",
    says="Mine",
    source=SourceId("from_memory"),
    limits={Name("a"): Limit(id="a", says="A", unit="%", at_most=1.0)},
    sizes={Name("capstan_mm"): 2.4, Name("poles"): 4.0},
)


@pytest.fixture
def at_bench(tmp_path: Path) -> Session:
    """The small case."""
    return taken_in(small_shelf(tmp_path))


def known(at_bench: Session, deck: Deck) -> OfDeck:
    """What the case knows once the deck is this."""
    return of_deck(at_bench.book, replace(at_bench.snapshot.state, deck=deck))


def test_sizes_stay_with_the_case(at_bench: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    """Those of what its figures are held against are there when a recording is measured."""
    hold_against(at_bench, SIZED)
    given: list[OfDeck] = []

    def listen(what: str, path: Path, watch: object, beside: Beside) -> Measurement:
        given.append(beside.deck)
        return speed_found(0.1, 0.1)

    monkeypatch.setattr(session, "listen", listen)
    at_bench.hear("speed", Path("a.wav"))
    assert given[0].sizes == {"capstan_mm": 2.4, "poles": 4.0}
    assert given[0].geometry() == Geometry(drive="belt", capstan_mm=2.4, poles=4)


def test_mains_and_drive_come_from_the_deck(at_bench: Session) -> None:
    """The mains feed the motor only where the deck says so; hum knows their frequency anyway."""
    deck = Deck(traits={"drive": "belt", "mains_motor": "yes"}, facts={LOCAL_HZ: 50.0})
    found = known(at_bench, deck)
    assert (found.mains_hz, found.geometry()) == (50, Geometry(drive="belt", mains_hz=50))
    other = replace(deck, traits={"drive": "steam", "mains_motor": "no"})
    assert known(at_bench, other).geometry() == Geometry()
    assert known(at_bench, Deck(facts={LOCAL_HZ: 400.0})).mains_hz is None


def test_speed_is_asked_where_there_are_several(at_bench: Session) -> None:
    """A family with the fact has no usual speed; without the fact there is one."""
    assert known(at_bench, Deck()).speed_is_known
    facts = {**at_bench.book.facts, TAPE_SPEED: Fact(id=TAPE_SPEED, ask="?")}
    book = replace(at_bench.book, facts=facts)
    state = at_bench.snapshot.state
    assert not of_deck(book, state).speed_is_known
    told = of_deck(book, replace(state, deck=Deck(facts={TAPE_SPEED: 19.05})))
    assert told.speed_is_known
    assert told.geometry().speed_mm_s == pytest.approx(190.5)


@pytest.mark.parametrize("family", families(shipped()))
def test_facts_are_those_of_the_books(family: str) -> None:
    """In these units; the next test says that there are such facts."""
    facts = read_book(shipped(), family).facts
    units = {name: facts[name].unit for name in (LOCAL_HZ, TAPE_SPEED) if name in facts}
    assert {LOCAL_HZ: "Hz", TAPE_SPEED: "cm/s"}.items() >= units.items()


def test_books_ask_for_these_facts() -> None:
    """Under these names, each in one family at least."""
    asked = {name for family in families(shipped()) for name in read_book(shipped(), family).facts}
    assert {LOCAL_HZ, TAPE_SPEED} <= asked


def test_case_keeps_only_sizes_that_can_be() -> None:
    """Else a case file could not be measured by later."""
    with pytest.raises(CaseError, match="Did you mean 'capstan_mm'"):
        KeptSize(key="capstan", value=2.4)
    with pytest.raises(CaseError, match="capstan_mm is 24"):
        KeptSize(key="capstan_mm", value=24.0)
