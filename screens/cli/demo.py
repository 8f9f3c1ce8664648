"""`benchtrail demo`: an invented deck of an invented workshop, as a case or as plain text."""

from __future__ import annotations

import argparse
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from screens.cli.bench import open_app
from screens.cli.exit_codes import Exit
from screens.cli.output import say
from screens.cli.places import add_knowledge, add_store, knowledge_root, store_path

if TYPE_CHECKING:
    from diag.session.shelf import Shelf

STORY = Path(str(files("screens"))) / "demo" / "story.case.json"
SHOWN = 3
"""Causes told after each step."""


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    top = commands.add_parser(
        "demo", help="an invented deck with several faults, to look around in"
    )
    top.add_argument("--plain", action="store_true", help="play it as text instead")
    add_store(top)
    add_knowledge(top)
    top.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Put the demo on the shelf and open it, or play it from a store of its own."""
    from diag.session.shelf import Shelf

    if arguments.plain:
        with TemporaryDirectory() as folder:
            shelf = Shelf(Path(folder) / "demo.sqlite3", knowledge_root(arguments))
            play(shelf)
        return Exit.DONE
    shelf = Shelf(store_path(arguments), knowledge_root(arguments))
    return open_app(arguments, shelf.import_file(STORY).case_id)


def play(shelf: Shelf) -> None:
    """Every event in words with the first causes after it, then what comes next."""
    from diag.trail.words import chance_in_words

    session = shelf.reopen(shelf.import_file(STORY).case_id)
    trail = session.tell_trail()
    say(f"{trail.name}: an invented deck, told step by step.")
    for step in trail.steps:
        say(f"\n{step.number:>3}  {step.says}")
        for cause in step.after[:SHOWN]:
            say(f"       {chance_in_words(cause.probability):>6}  {cause.says}")
    for question in trail.open_questions:
        say(f"\nNext: {question}")
