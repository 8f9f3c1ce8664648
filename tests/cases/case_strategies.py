"""Random events and cases."""

from __future__ import annotations

from datetime import UTC, datetime

from hypothesis import strategies as st

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
done_things = st.one_of(
    intakes,
    st.builds(SymptomTold, words, at=times),
    answered,
    unanswered,
    st.builds(Measured, words, numbers, texts, words, at=times),
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
    Opened("lid", at=AT),
    Closed("lid", at=AT),
    Remedied("clean_idler", "given_up", "The tyre is cracked.", at=AT),
    Acknowledged("mains", "hubs_in_play", at=AT),
    Noted("Belt ordered.", at=AT),
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
