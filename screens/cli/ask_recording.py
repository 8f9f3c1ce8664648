"""Recordings on the plain bench: measure one, and choose what the figures are held against."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from diag.model.words import chance_in_words
from diag.session.beside import Given
from diag.session.held_against import hold_against
from diag.session.listening import HeardAll, path_of, recordings_in
from diag.session.measured import kind_says
from screens.cli.prompts import Prompts
from screens.heard import (
    MOST_FILES,
    NEEDS_TAPE,
    NOT_FROM_THIS,
    NOT_KNOWN,
    OWN_TAPE,
    WHICH_TONE,
    answer_of,
    figures_of,
    hear,
    kinds_offered,
    recording_help,
    take_all,
    tone_says,
    tones_in_doubt,
    what_it_answers,
    which_recording,
)

if TYPE_CHECKING:
    from diag.model.book import Book
    from diag.model.specification import Specification
    from diag.model.test_tape import TestTape
    from diag.session.listening import Heard
    from diag.session.session import Session
    from diag.session.shelf import Shelf

BACK = "none of them"


def choose_kind(prompts: Prompts) -> str:
    """Which measurement to make of a recording; empty if the person goes back."""
    kinds = kinds_offered()
    place = prompts.choice("What to measure:", [f"{says}, {of}" for _, says, of in kinds], BACK)
    return "" if place is None else kinds[place][0]


def take_recording(
    prompts: Prompts, shelf: Shelf, session: Session, what: str, typed: str, asked: str = ""
) -> bool:
    """Measure a recording, show what was found, and keep what the person wants kept.

    Args:
        prompts: asks the person.
        shelf: knows the test tapes.
        session: the case.
        what: the kind of measurement, or `screens.heard.ALL`.
        typed: the path as it was typed; empty asks for it.
        asked: the check that it is for, if it is for one.

    Returns:
        Whether anything was kept.

    Raises:
        BenchtrailError: the file can't be read, or not be measured so.
    """
    path = _file(prompts, what, typed)
    if path is None:
        return False
    tape: TestTape | None = None
    if what == NEEDS_TAPE:
        tapes = shelf.test_tapes()
        place = _tape(prompts, tapes)
        if place is None:
            return False
        tape = tapes[place - 1] if place else None
    prompts.say(f"Measuring {path.name}.")
    given = Given(tape=tape)
    found = hear(session, what, path, asked=asked, given=given)
    if tones := tones_in_doubt(found):
        place = prompts.choice(WHICH_TONE, [tone_says(hz) for hz in tones], NOT_KNOWN)
        if place is not None:
            said = replace(given, nominal_hz=tones[place])
            found = hear(session, what, path, asked=asked, given=said)
    _show(prompts, session.book, found)
    if not found.heard:
        return False
    answers = any(heard.readings for heard in found.heard)
    figures = " f: figures only." if answers else ""
    typed = prompts.text(f"y: take them.{figures} Anything else leaves them.").lower()
    if typed != "y" and not (answers and typed == "f"):
        return False
    take_all(session, found, with_answers=typed == "y")
    return True


def choose_specification(prompts: Prompts, shelf: Shelf, session: Session) -> None:
    """Choose what the figures are held against; the trail has the verdicts."""
    found: Sequence[Specification] = shelf.specifications()
    told = [f"{each.says} (source: {each.source})" for each in found]
    place = prompts.choice("Hold the figures against:", told, BACK)
    if place is not None:
        hold_against(session, found[place])


def _file(prompts: Prompts, what: str, typed: str) -> Path | None:
    """A file that the person types, or picks out of a folder; None to go back."""
    typed = typed or prompts.text(f"{which_recording(what)} {recording_help(what)}")
    if not typed:
        return None
    path = path_of(typed)
    if not path.is_dir():
        return path
    names = [each.name for each in recordings_in(path)[:MOST_FILES]]
    place = prompts.choice(f"Recordings in {path}:", names, BACK)
    return None if place is None else path / names[place]


def _tape(prompts: Prompts, tapes: Sequence[TestTape]) -> int | None:
    """Which test tape it is: 0 for one with our own signals, else its place from 1."""
    return prompts.choice("Which test tape?", [", ".join(OWN_TAPE), *(t.says for t in tapes)], BACK)


def _show(prompts: Prompts, book: Book, found: HeardAll) -> None:
    """All that was found, and why the rest was not."""
    for heard in found.heard:
        _show_kind(prompts, book, heard)
    if found.refused:
        prompts.say(f"{NOT_FROM_THIS}:")
    for what, why in found.refused:
        prompts.say(f"{kind_says(what)}: {why}", "  ")


def _show_kind(prompts: Prompts, book: Book, heard: Heard) -> None:
    if heard.readings:
        prompts.say(f"{what_it_answers(heard.what)}:")
    for reading in heard.readings:
        prompts.say(" ".join(filter(None, answer_of(book, reading))), "  ")
    prompts.say(f"{kind_says(heard.what)}:")
    for says, words in figures_of(heard.found):
        prompts.say(f"{says}: {words}", "  ")
    for says, chance in heard.found.likely:
        prompts.say(f"{chance_in_words(chance)} {says}", "  ")
    for remark in heard.found.remarks:
        prompts.say(remark, "  ")
