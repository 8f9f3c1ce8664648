"""Hearing a recording: what is asked for, and in words what it was found to hold."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from diag.model.words import answer_says
from diag.session.beside import NOTHING_GIVEN, Given
from diag.session.listening import ENDINGS, HeardAll, Watch
from diag.session.measured import KINDS, kind_says
from diag.trail.words import SURE_WORDS, figure_words

if TYPE_CHECKING:
    from diag.cases.captured import Reading
    from diag.measure.result import Measurement
    from diag.model.book import Book
    from diag.session.session import Session
    from diag.session.snapshot import Snapshot

ALL = "all"
NEEDS_TAPE = "response"
"""The kind of measurement that must know what is on the tape."""
OWN_TAPE = ("One with the signals of benchtrail", "found by their lead-ins")
MOST_FILES = 200
"""Files of a folder that are listed."""
WHICH_TONE = "Which tone is on the tape?"
NOT_KNOWN = "I don't know"
FAIRLY = "What was measured leaves room for another answer."
NOT_FROM_THIS = "Not from this recording"


def kinds_offered() -> tuple[tuple[str, str, str], ...]:
    """Each kind of measurement, all of them first: its word, what it tells, of what."""
    kinds = ((what, kind.says, f"of {kind.needs}") for what, kind in KINDS.items())
    return ((ALL, "All that it allows", "of a tape with several test signals"), *kinds)


def which_recording(what: str) -> str:
    """The question for the file."""
    return "Which recording?" if what == ALL else f"{kind_says(what)}: which recording?"


def recording_help(what: str) -> str:
    """What file that may be, and how it is named."""
    kinds = " or ".join(end[1:].upper() for end in ENDINGS)
    of = f" of {KINDS[what].needs}" if what in KINDS else ""
    return f"A {kinds} file{of}. Type or paste its path; a folder lists its recordings."


def hear(
    session: Session,
    what: str,
    path: Path,
    *,
    asked: str = "",
    given: Given = NOTHING_GIVEN,
    watch: Watch | None = None,
) -> HeardAll:
    """Measure a recording for one kind or for `ALL`; as `Session.hear` and `Session.hear_all`."""
    if what == ALL:
        return session.hear_all(path, given=given, watch=watch)
    heard = session.hear(what, path, asked=asked, given=given, watch=watch)
    return HeardAll((heard,))


def answering_only(found: HeardAll, readings: Collection[Reading]) -> HeardAll:
    """The same with these of its answers."""
    return replace(
        found,
        heard=tuple(
            replace(heard, readings=tuple(each for each in heard.readings if each in readings))
            for heard in found.heard
        ),
    )


def tones_in_doubt(found: HeardAll) -> tuple[float, ...]:
    """The tones that the tape may hold, in Hz, where the recording alone does not tell."""
    return next((one.found.tones_hz for one in found.heard if one.found.tones_hz), ())


def tone_says(hz: float) -> str:
    """A tone in words."""
    return f"{hz:g} Hz"


def take_all(session: Session, found: HeardAll, with_answers: bool) -> Snapshot:
    """Let the case keep all that was found."""
    for heard in found.heard:
        session.take_capture(heard, with_answers=with_answers)
    return session.snapshot


def what_it_answers(what: str) -> str:
    """The heading above the answers of one kind."""
    return f"{kind_says(what)}: what it answers"


def answer_of(book: Book, reading: Reading) -> tuple[str, str, str]:
    """The question that a recording answers, its answer, and what to think of it if not certain."""
    check = book.checks[reading.check]
    says = f"{answer_says(check, reading.answer)}{SURE_WORDS[reading.sure]}"
    return check.ask, says, FAIRLY if reading.sure == "fairly" else ""


def figures_of(found: Measurement) -> Iterator[tuple[str, str]]:
    """Each figure: what it is, and its value with its uncertainty."""
    for figure in found.figures:
        words = figure_words(figure.value, figure.uncertainty, figure.unit)
        yield figure.says[:1].upper() + figure.says[1:], words
