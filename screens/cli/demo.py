"""`benchtrail demo`: an invented deck of an invented workshop, as a case or as plain text."""

from __future__ import annotations

import argparse
from pathlib import Path
from tempfile import TemporaryDirectory

from diag.cases.case_file import read_case_file
from screens.cli.bench import has_terminal, open_app
from screens.cli.exit_codes import Exit
from screens.cli.places import (
    add_knowledge,
    add_store,
    shelf_of,
    store_path,
    tell_left_out,
)

STORY = Path(__file__).parent.parent / "demo" / "story.case.json"


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
    if arguments.plain:
        # Inside, like all below: the command line must not wait for what it does not call.
        from screens.cli.demo_play import play

        with TemporaryDirectory() as folder:
            shelf = shelf_of(arguments, Path(folder) / "demo.sqlite3")
            tell_left_out(shelf)
            play(shelf, read_case_file(STORY).events)
        return Exit.DONE
    if not has_terminal():
        return Exit.WRONG_CALL
    return open_app(arguments, put_on_shelf(store_path(arguments)))


def put_on_shelf(path: Path) -> str:
    """The id of the demo's case, which is taken in unless it is there, played with or not."""
    from diag.cases.store import CaseStore

    store = CaseStore(path)
    story = read_case_file(STORY)
    if any(case.id == story.case_id for case in store.cases()):
        return story.case_id
    return store.import_file(STORY).case_id
