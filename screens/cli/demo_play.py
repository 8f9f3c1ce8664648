"""The demo told as plain text, worked out afresh event by event."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

from diag.cases.events import Event, TakenIn
from diag.model.words import chance_in_words, step_says
from diag.session.assessment import RankedCause
from diag.session.shelf import Shelf
from diag.session.snapshot import Snapshot
from diag.trail.words import event_words
from screens.cli.output import say_wrapped
from screens.noted import Remark, remarks

SHOWN = 3
"""Causes told around each event."""
INDENT = "     "


def play(shelf: Shelf, events: Sequence[Event]) -> None:
    """Tell the case event by event: what happened, what it moved, and what came next."""
    # A case file that does not begin with an intake has been refused.
    case = shelf.cases.create(cast(TakenIn, events[0]))
    session = shelf.reopen(case)
    before = session.snapshot
    _tell(before, events, 1)
    _note((), remarks(before))
    for number, event in enumerate(events[1:], start=2):
        shelf.cases.append(case, event, after=number - 1)
        after = session.reload()
        _tell(after, events, number)
        _move(before, after)
        _note(remarks(before), remarks(after))
        if _next(after) != _next(before):
            say_wrapped(f"next: {_next(after)}", INDENT)
        before = after
    say_wrapped("Here the story stops; `benchtrail demo` in a terminal goes on with it.")


def _tell(snapshot: Snapshot, events: Sequence[Event], number: int) -> None:
    """An event in words, with its story if it has one."""
    event = events[number - 1]
    words = event_words(snapshot.book, events, number)
    say_wrapped(f"{number:>3}  {event.at:%d %b %H:%M}  {words}")
    if story := getattr(event, "story", ""):
        say_wrapped(story, INDENT)


def _move(before: Snapshot, after: Snapshot) -> None:
    """The first causes before and after, where one moved by as much as is shown."""
    was, now = (
        _in_words(snapshot.assessment.ranking if snapshot.assessment else ())
        for snapshot in (before, after)
    )
    if was != now:
        say_wrapped(f"before: {was}", INDENT)
        say_wrapped(f"after:  {now}", INDENT)


def _note(known: Sequence[Remark], found: Sequence[Remark]) -> None:
    """What the rules say for the first time, and what does not go together."""
    for remark in found:
        if remark not in known:
            say_wrapped(f"{remark.mark} {remark.says}", INDENT)


def _in_words(ranking: Sequence[RankedCause]) -> str:
    return "; ".join(f"{chance_in_words(c.probability)} {c.says}" for c in ranking[:SHOWN])


def _next(snapshot: Snapshot) -> str:
    """What to do next, in words."""
    step = snapshot.next_step
    return "nothing" if step is None else step_says(snapshot.book, step.kind, step.id)
