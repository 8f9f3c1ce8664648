"""Measuring a recording: which file, how far it has come, and what was found before it is taken."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from rich.text import Text

from diag.errors import BenchtrailError
from diag.session.beside import Given
from diag.session.listening import HeardAll, Watch, path_of, recordings_in
from screens.dialogs.choose import Choose, Item
from screens.dialogs.error import ErrorDialog
from screens.dialogs.findings import BOTH, Findings
from screens.dialogs.line import LineDialog
from screens.dialogs.listening import Listening
from screens.heard import (
    MOST_FILES,
    NEEDS_TAPE,
    NOT_KNOWN,
    OWN_TAPE,
    WHICH_TONE,
    hear,
    kinds_offered,
    recording_help,
    tone_says,
    tones_in_doubt,
    which_recording,
)

if TYPE_CHECKING:
    from diag.model.test_tape import TestTape
    from diag.session.session import Session
    from screens.engine_screen import EngineScreen

NO_TAPE: Literal["own"] = "own"


async def hear_recording(
    screen: EngineScreen, session: Session, what: str, asked: str = ""
) -> tuple[HeardAll, bool] | None:
    """Measure a recording that the person names, and show what was found.

    Args:
        screen: the screen that asks.
        session: the case.
        what: the kind of measurement, or `screens.heard.ALL`.
        asked: the check that it is for, if it is for one.

    Returns:
        What was found, and whether it shall answer checks; None if it is not to be taken.
    """
    folder = session.last_folder
    path = await _ask_file(screen, session, what)
    tape = await _ask_tape(screen) if path and what == NEEDS_TAPE else NO_TAPE
    if path is None or tape is None:
        return None
    given = Given(tape=None if isinstance(tape, str) else tape)

    async def measured(given: Given) -> HeardAll | BenchtrailError | None:
        def measure(watch: Watch) -> HeardAll:
            return hear(session, what, path, asked=asked, given=given, watch=watch)

        return await screen.app.push_screen_wait(Listening(path.name, measure))

    found = await measured(given)
    if isinstance(found, HeardAll) and (tones := tones_in_doubt(found)):
        tone = await _ask_tone(screen, tones)
        found = await measured(replace(given, nominal_hz=tone)) if tone else found
    if isinstance(found, BenchtrailError):
        if not path.exists():
            session.last_folder = folder  # a slip in a path is not offered again
        await screen.app.push_screen_wait(ErrorDialog(found))
        return None
    if found is None:
        return None
    choice = await screen.app.push_screen_wait(Findings(session.book, path.name, found))
    return None if choice is None else (found, choice == BOTH)


async def choose_kind(screen: EngineScreen) -> str:
    """Which measurement to make of a recording; empty if the person goes back."""
    items = [Item(*kind) for kind in kinds_offered()]
    chosen = await screen.app.push_screen_wait(Choose("What to measure", items))
    return chosen[0] if chosen else ""


async def _ask_tape(screen: EngineScreen) -> TestTape | Literal["own"] | None:
    """Which test tape it is: one that is described, or one with our own signals."""
    known = await screen.ask(lambda: screen.engine.shelf().test_tapes())
    if known is None:
        return None
    items = [Item(NO_TAPE, *OWN_TAPE)]
    items += [Item(tape.id, tape.says) for tape in known]
    chosen = await screen.app.push_screen_wait(Choose("Which test tape?", items))
    if not chosen:
        return None
    return next((tape for tape in known if tape.id == chosen[0]), NO_TAPE)


async def _ask_tone(screen: EngineScreen, tones: Sequence[float]) -> float | None:
    """Which of these tones the tape holds; None if that is not known."""
    items = [Item(f"{hz:g}", tone_says(hz)) for hz in tones]
    chosen = await screen.app.push_screen_wait(Choose(WHICH_TONE, [*items, Item("", NOT_KNOWN)]))
    return float(chosen[0]) if chosen and chosen[0] else None


async def _ask_file(screen: EngineScreen, session: Session, what: str) -> Path | None:
    """A file that the person types, pastes, or picks out of a folder; None to go back."""
    folder = f"{session.last_folder}/" if session.last_folder else ""
    asked = LineDialog(which_recording(what), folder, Text(recording_help(what)))
    typed = await screen.app.push_screen_wait(asked)
    if not typed:
        return None
    path = _path_after(folder, typed)
    if not path.is_dir():
        return path
    session.last_folder = path
    items = [Item(each.name, each.name) for each in recordings_in(path)[:MOST_FILES]]
    chosen = await screen.app.push_screen_wait(Choose(f"Recordings in {path}", items))
    return path / chosen[0] if chosen else None


def _path_after(folder: str, typed: str) -> Path:
    """What was typed; a whole path that was pasted behind the folder in the line stands alone."""
    path = path_of(typed)
    pasted = typed.removeprefix(folder).lstrip("'\"")
    if folder and not path.exists() and pasted.startswith(("/", "~", "file:")):
        return path_of(typed.removeprefix(folder))
    return path
