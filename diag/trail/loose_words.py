"""What came off a deck, in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby

from diag.cases.taken_apart import PutBack, TakenOff, Thing
from diag.trail.loose import Loose

SMALL_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
MOVED: Mapping[Thing, str] = {"wire": "unsoldered", "plug": "pulled", "lever": "moved"}
"""What is done to a thing that stays in the deck; any other is said to be loose in it."""

LOOKS: Mapping[Thing, str] = {
    "lever": "look that each finger is in front of its lever and drives it both ways.",
    "spring": "look that each is hooked into the hole and on the post that it came from.",
    "wire": "look that each is on its own point, with no strand astray and nothing pinched.",
    "plug": "look that each is home, pin one on pin one.",
    "washer": "look that all are there, in the order in which they lay.",
    "clip": "look that each sits in its groove all round.",
    "belt": "look that it runs on every pulley, the right way round and not twisted.",
}
"""What to look at before closing over a thing of a kind that was off or out of place."""


def things(what: Thing, count: int) -> str:
    """`screw`, `screws`."""
    return what if count == 1 else f"{what}{'es' if what.endswith('ch') else 's'}"


def thing_words(taken: TakenOff, count: int | None = None) -> str:
    """Which things: `4 screws, rear edge`; `red wire from board, point 3, to motor`."""
    number = taken.count if count is None else count
    head = f"{taken.colour} {things(taken.what, number)}".strip()
    if number != 1:
        head = f"{number} {head}"
    if taken.to:
        head += f" from {taken.place}" if taken.place else ""
        return f"{head} to {taken.to}"
    return f"{head}, {taken.place}" if taken.place else head


def lies_words(taken: TakenOff) -> str:
    """Where they lie now."""
    if taken.tray:
        return f"tray {taken.tray}"
    return taken.lies or f"{MOVED.get(taken.what, 'loose')}, still in the deck"


def taken_words(taken: TakenOff) -> str:
    """All of it in one line."""
    photo = f"photo {taken.photo}" if taken.photo else ""
    told = (thing_words(taken), lies_words(taken), taken.note, photo)
    return "; ".join(part for part in told if part)


def return_words(event: PutBack, taken: TakenOff | None) -> str:
    """What became of some of them."""
    which = thing_words(taken, event.count) if taken else f"{event.count} of event {event.item}"
    how = {"back": "Put back", "new": "New in its place", "left_out": "Left out"}[event.how]
    return f"{how}: {which}{f' ({event.note})' if event.note else ''}"


def unaccounted(loose: Iterable[Loose]) -> tuple[str, ...]:
    """A sentence for each tray and each place in which things are left."""
    left = [thing for thing in loose if thing.left]
    by_place = groupby(sorted(left, key=_place), key=_place)
    return tuple(_left_in(list(group)) for _, group in by_place)


def looks_before_closing(off: Sequence[Loose]) -> tuple[str, ...]:
    """What to look at for each kind of thing that was off or out of place."""
    told = []
    for what, look in LOOKS.items():
        found = [thing for thing in off if thing.taken.what == what]
        if found:
            count = sum(thing.taken.count for thing in found)
            where = ", ".join(dict.fromkeys(p for t in found if (p := _where(t.taken))))
            named = f" ({where})" if where else ""
            told.append(f"{_capital(_number(count))} {things(what, count)}{named}: {look}")
    return tuple(told)


def _place(thing: Loose) -> tuple[int, str]:
    return thing.taken.tray, lies_words(thing.taken)


def _left_in(group: Sequence[Loose]) -> str:
    """Such as `Two screws and one spring of tray 3 are unaccounted for`."""
    counts: dict[Thing, int] = {}
    for thing in group:
        counts[thing.taken.what] = counts.get(thing.taken.what, 0) + thing.left
    told = [f"{_number(count)} {things(what, count)}" for what, count in counts.items()]
    joined = f"{', '.join(told[:-1])} and {told[-1]}" if len(told) > 1 else told[0]
    verb = "is" if sum(counts.values()) == 1 else "are"
    first = group[0].taken
    if first.tray:
        return f"{_capital(joined)} of tray {first.tray} {verb} unaccounted for."
    if first.lies:
        return f"{_capital(joined)} ({first.lies}) {verb} unaccounted for."
    return f"{_capital(joined)} {verb} still {MOVED.get(first.what, 'loose')}."


def _where(taken: TakenOff) -> str:
    if taken.to:
        return f"{taken.colour} {taken.place} to {taken.to}".strip()
    return f"{taken.colour} {taken.place}".strip()


def _number(count: int) -> str:
    return SMALL_NUMBERS[count] if count < len(SMALL_NUMBERS) else str(count)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
