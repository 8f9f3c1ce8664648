"""A small book with one of everything that a trail tells, and a case with a frozen clock."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

from recordings import speed_found

from diag.cases.captured import Reading
from diag.model.history import Sure
from diag.model.trait import Deck
from diag.reading.location import SPECIFICATIONS
from diag.reading.specification import FALLBACK
from diag.session.listening import Heard
from diag.session.parts import keep_part, parts_of
from diag.session.session import Session
from diag.session.shelf import Shelf
from diag.session.taken_apart import put_back, take_off
from diag.trail.trail import Trail

FAMILY = """\
family: tape
says: Machines of this test
traits:
  drive: {ask: 'What drives it?', one_of: [belt, idler]}
facts:
  strap_hz: {ask: 'What is the strap set for?', unit: Hz}
  local_hz: {ask: 'What is the local mains?', unit: Hz}
layers:
  outside: {}
  lid: {under: outside, open: 4, close: 5, says: Lid off, cautions: [mains]}
symptoms:
  no_sound: {says: No sound, signs: [silent]}
  drags: {says: Runs slow, signs: [slow]}
intake: [listen]
final_test: [listen, speed]
rules:
  - id: strap
    says: The strap is set for another country.
    when: {fact: strap_hz, differs_from: local_hz}
    then: [{derive: strap_wrong}, {cite: strap_first}, {caution: fuse}]
"""

BOOK = """\
signs:
  silent: {says: no sound, leak: 0.01}
  slow: {says: too slow, leak: 0.01}
  belt_slack: {says: the belt hangs, leak: 0.01}
causes:
  worn_belt:
    says: Worn belt
    prior: {20: 0.1, 45: 0.3}
    shows: {silent: 0.6, slow: 0.5, belt_slack: 0.9}
    mended_by: [renew]
    raised_by: {strap_wrong: 2}
  dry_shaft: {says: Dry shaft, prior: 0.2, shows: {slow: 0.7}, mended_by: [oil]}
checks:
  listen:
    ask: Is there sound?
    at: outside
    minutes: 1
    cautions: [care]
    answers: {silent: {says: 'None', present: [silent]}, sound: {says: Both sides}}
  look_belt:
    ask: Does the belt hang?
    at: lid
    minutes: 2
    answers: {hangs: {says: It hangs, present: [belt_slack]}, firm: {says: It is firm}}
  feel_shaft:
    ask: Does the shaft turn freely?
    at: lid
    minutes: 2
    answers: {stiff: {says: It drags, present: [slow]}, free: {says: Freely}}
  speed:
    ask: What is the speed error?
    at: outside
    minutes: 3
    measures: {quantity: speed_error, unit: "%"}
    answers: {slow: {says: Too slow, below: -1.5, present: [slow]}, right: {says: Right}}
remedies:
  renew:
    says: Renew the belt
    minutes: 20
    at: lid
    cures: 0.9
    parts: [a belt]
    cites: [belts_age]
  oil: {says: Oil the shaft, minutes: 20, at: lid, cures: 0.9}
thumbs:
  belts_age: {says: Belts last some ten years, source: handbook}
  strap_first: {says: Look at the strap first, source: common_practice}
cautions:
  care: {says: Mind your fingers., severity: care}
  mains: {says: Mains inside., severity: danger, do: Unplug it.}
  fuse: {says: Fit no bigger fuse., severity: care}
"""

SOURCES = """\
sources:
  handbook: {title: A handbook of this test, publisher: nobody, year: 2026}
"""


SPECIFICATION = """\
says: What this test wants
source: handbook
limits:
  speed_error_percent: {says: Speed error, unit: '%', within: 1.5}
  weighted_peak_percent: {says: Wow and flutter, unit: '%', at_most: 0.2}
"""


def small_shelf(folder: Path) -> Shelf:
    """A shelf with the book in a folder, and a clock that goes a minute a step."""
    family = folder / "knowledge" / "tape"
    family.mkdir(parents=True)
    (family / "family.yaml").write_text(FAMILY, encoding="utf-8")
    (family / "belt.yaml").write_text(BOOK, encoding="utf-8")
    (folder / "knowledge" / "sources.yaml").write_text(SOURCES, encoding="utf-8")
    wanted = folder / "knowledge" / SPECIFICATIONS / f"{FALLBACK}.yaml"
    wanted.parent.mkdir()
    wanted.write_text(SPECIFICATION, encoding="utf-8")
    ticks = count()
    start = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
    return Shelf(
        folder / "cases.sqlite3",
        folder / "knowledge",
        clock=lambda: start + timedelta(minutes=next(ticks)),
    )


def taken_in(shelf: Shelf, name: str = "Deck 1", story: str = "belt renewed before") -> Session:
    """A deck of 45 years whose strap is set wrong."""
    facts = {"strap_hz": 60.0, "local_hz": 50.0}
    deck = Deck(age_years=45.0, traits={"drive": "belt"}, facts=facts)
    return shelf.take_in(name, "tape", deck, ["no_sound"], story)


def worked_on(session: Session) -> Session:
    """Answers of every kind, a danger read, a strike, a redo, remedies, and the lid still off."""
    session.answer("listen", "silent")
    session.put_aside("feel_shaft", "skipped")
    session.measure("speed", -2.5, "fairly")
    session.acknowledge("mains", "look_belt")
    session.open("lid")
    session.answer("look_belt", "firm")
    session.undo()
    session.answer("look_belt", "hangs")
    session.mend("oil", "given_up", "no oil here")
    session.undo()
    session.redo()
    session.mend("renew")
    session.note("Ordered feet for it")
    session.tell("drags")
    return session


def record(session: Session, percent: float, within: float) -> None:
    """Take a recording of the speed, which answers its check."""
    sure: Sure = "fairly" if abs(percent + 1.5) < within else "certain"
    answer = "slow" if percent < -1.5 else "right"
    reading = Reading(check="speed", value=percent, unit="%", answer=answer, sure=sure)
    session.take_capture(
        Heard("speed", "side a.wav", speed_found(percent, within, points=8), (reading,))
    )


def take_apart(session: Session) -> None:
    """Take screws, a wire and a lever off; half of the screws are back."""
    take_off(session, "lid", "screw", count=4, place="rear edge", tray=1, note="two are <long>")
    screws = session.snapshot.revision
    take_off(session, "lid", "wire", colour="red", place="board 3", to="motor")
    take_off(session, "lid", "lever", count=2, place="trigger", photo="levers.jpg")
    put_back(session, screws, 2)
    (belt, *_) = parts_of(session.book, session.snapshot.state)
    keep_part(session, replace(belt, state="ordered", count=2, price=4.5, note="=70 mm"))


def golden_trail(folder: Path) -> Trail:
    """The trail of the case; what is random or changes with each version is made fixed."""
    session = taken_in(small_shelf(folder))
    record(session, -1.6, 0.2)
    worked_on(session)
    record(session, -0.3, 0.05)
    take_apart(session)
    told = session.tell_trail()
    return replace(told, case="c-22222", version="1.2.3", begun_with="0", book_digest="0")
