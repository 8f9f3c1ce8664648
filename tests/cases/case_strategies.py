"""Random events and cases."""

from __future__ import annotations

from datetime import UTC, datetime

from hypothesis import strategies as st

from diag.cases.captured import Likely, Reading
from diag.cases.events import (
    Acknowledged,
    Answered,
    Captured,
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
from diag.cases.held_against import HeldAgainst, KeptLimit, KeptSize
from diag.cases.part_kept import PartKept
from diag.cases.taken_apart import PutBack, TakenOff
from diag.model.found import Curve, Figure
from diag.model.trait import Deck

AT = datetime(2026, 3, 14, 9, 26, 53, 589793, tzinfo=UTC)

# Few words, so that events of one case meet in the same check, layer or remedy.
words = st.sampled_from(["hubs_in_play", "meters", "lid", "belt", "x", "été"])
lines = st.text(
    st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp", "Cf"]), min_size=1, max_size=40
).filter(str.strip)
texts = st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp", "Cf"]) | st.just("\n"))
times = st.datetimes(timezones=st.just(UTC))
numbers = st.floats(allow_nan=False, allow_infinity=False)
decks = st.builds(
    Deck,
    age_years=st.none() | st.floats(0, 120),
    traits=st.dictionaries(words, lines, max_size=3),
    facts=st.dictionaries(words, numbers | lines, max_size=3),
)
intakes = st.builds(
    TakenIn, name=lines, family=words, deck=decks, story=texts, book_digest=texts, at=times
)
answered = st.builds(Answered, words, words, st.sampled_from(["certain", "fairly"]), at=times)
unanswered = st.builds(
    Answered, words, st.just(""), st.sampled_from(["cant_tell", "skipped"]), at=times
)
figures = st.builds(
    Figure, key=words, says=lines, value=numbers, uncertainty=st.floats(0, 1e9), unit=texts
)
points = st.lists(st.tuples(st.floats(1e-9, 1e9), numbers), min_size=1, max_size=4)
curves = st.builds(
    lambda at, says, is_log: Curve(
        name="phase",
        says=says,
        x=tuple(x for x, _ in at),
        y=tuple(y for _, y in at),
        x_unit="s",
        y_unit="°",
        is_log=is_log,
    ),
    points,
    lines,
    st.booleans(),
)
readings = st.builds(
    Reading,
    check=words,
    value=numbers,
    unit=texts,
    answer=words,
    sure=st.sampled_from(["certain", "fairly"]),
)
captured = st.builds(
    Captured,
    what=words,
    file=lines,
    figures=st.lists(figures, max_size=3).map(tuple),
    curves=st.lists(curves, max_size=2).map(tuple),
    remarks=st.lists(texts, max_size=2).map(tuple),
    likely=st.lists(st.builds(Likely, says=lines, chance=st.floats(0, 1)), max_size=2).map(tuple),
    source=texts,
    readings=st.lists(readings, max_size=3, unique_by=lambda r: r.check).map(tuple),
    at=times,
)
counts = st.integers(1, 999)
screws = st.builds(
    TakenOff,
    words,
    st.just("screw"),
    counts,
    words,
    st.integers(0, 999),
    note=words,
    corrects=st.integers(0, 1),
    at=times,
)
wires = st.builds(TakenOff, words, st.just("wire"), lies=words, colour=words, to=words, at=times)
put_back = st.builds(
    PutBack, st.just(1), counts, st.sampled_from(["back", "new", "left_out"]), words, at=times
)
parts = st.builds(
    PartKept,
    words,
    words,
    st.sampled_from(["wanted", "ordered", "arrived", "fitted", "not_needed"]),
    counts,
    st.none() | st.floats(0, 1e6),
    at=times,
)
limits = st.builds(
    KeptLimit,
    key=words,
    says=lines,
    unit=texts,
    in_words=lines,
    lowest=st.none() | st.floats(-1e6, 0),
    highest=st.floats(0, 1e6),
    source=texts,
)
sizes = st.builds(KeptSize, key=st.just("capstan_mm"), value=st.floats(1, 15))
held = st.builds(
    HeldAgainst,
    words,
    lines,
    words,
    st.lists(limits, min_size=1, max_size=3, unique_by=lambda limit: limit.key).map(tuple),
    st.lists(sizes, max_size=1).map(tuple),
    at=times,
)
done_things = st.one_of(
    screws | wires | put_back | parts | held,
    intakes,
    st.builds(SymptomTold, words, at=times),
    answered,
    unanswered,
    st.builds(Measured, words, numbers, texts, words, at=times),
    captured,
    st.builds(Opened, words, at=times),
    st.builds(Closed, words, at=times),
    st.builds(Remedied, words, st.sampled_from(["done", "given_up"]), texts, at=times),
    st.builds(Acknowledged, words, words, at=times),
    st.builds(Noted, texts, at=times),
)
ONE_OF_EACH: tuple[Event, ...] = (
    TakenIn("A deck", "cassette", Deck(traits={"drive": "belt"}), "A story.", "1f3c", at=AT),
    SymptomTold("no_sound", at=AT),
    Answered("hubs_in_play", "both", "fairly", at=AT),
    Measured("speed_error", -2.5, "%", "slow", "fairly", at=AT),
    Captured(
        "speed",
        "tape 1.wav",
        (Figure(key="speed_error_percent", says="Speed", value=-2.5, uncertainty=0.1, unit="%"),),
        (
            Curve(
                name="spectrum",
                says="Spectrum",
                x=(0.5, 5.0),
                y=(0.1, 0.2),
                x_unit="Hz",
                y_unit="%",
                is_log=True,
            ),
        ),
        ("It runs slow.",),
        (Likely(says="capstan", chance=0.75),),
        "a_standard",
        (Reading(check="speed_error", value=-2.5, unit="%", answer="slow", sure="fairly"),),
        at=AT,
    ),
    Opened("lid", at=AT),
    Closed("lid", at=AT),
    Remedied("clean_idler", "given_up", "The tyre is cracked.", at=AT),
    Acknowledged("mains", "hubs_in_play", at=AT),
    Noted("Belt ordered.", at=AT),
    TakenOff("lid", "screw", 4, "rear edge", 3, note="two are long", photo="lid.jpg", at=AT),
    PutBack(11, 3, "new", "One was stripped.", at=AT),
    PartKept("a belt", "renew_belt", "ordered", 2, 4.5, "70 mm", at=AT),
    HeldAgainst(
        "attic_deck",
        "What its maker promised",
        "handbook",
        (
            KeptLimit(key="a", says="Wow", unit="%", in_words="at most 0.2 %", highest=0.2),
            KeptLimit(
                key="b",
                says="Erasure",
                unit="dB",
                in_words="at least 60 dB",
                lowest=60.0,
                source="x",
            ),
        ),
        (KeptSize(key="capstan_mm", value=2.4),),
        at=AT,
    ),
    Struck(2, at=AT),
)

any_event = done_things | st.builds(Struck, st.integers(2, 10_000), at=times)


@st.composite
def cases(draw: st.DrawFn, most: int = 12) -> tuple[Event, ...]:
    """An intake, then anything, with strikes of whatever came before."""
    events: list[Event] = [draw(intakes)]
    for number in range(2, draw(st.integers(1, most)) + 1):
        strikes = number > 2 and draw(st.integers(0, 3)) == 0
        if strikes:
            events.append(Struck(draw(st.integers(2, number - 1)), at=draw(times)))
        else:
            events.append(draw(done_things))
    return tuple(events)
