"""`benchtrail case`: list, show, export, label and import the cases of a store."""

from __future__ import annotations

import argparse
from pathlib import Path

from diag.trail.export import ENDINGS, file_name, write
from diag.trail.labels import write_labels
from diag.trail.loose import stripped
from diag.trail.markdown import markdown
from screens.cli.exit_codes import Exit
from screens.cli.output import say, tell
from screens.cli.places import add_knowledge, add_store, shelf_of, tell_left_out

CASE = "case"
"""The format of an export that can be imported again."""


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    top = commands.add_parser("case", help="list, show, export, label and import cases")
    parts = top.add_subparsers(dest="part", metavar="PART", required=True)
    parts.add_parser("list", help="every case, the one touched last first").set_defaults(
        run=run_list
    )
    show = parts.add_parser("show", help="the trail of a case, as Markdown")
    show.add_argument("id", metavar="ID")
    show.set_defaults(run=run_show)
    export = parts.add_parser("export", help="write the trail, or the case itself, to a file")
    export.add_argument("id", metavar="ID")
    export.add_argument("--format", choices=(*ENDINGS, CASE), default="markdown")
    export.add_argument("--to", type=Path, metavar="FILE", help="default: the deck's name, here")
    export.set_defaults(run=run_export)
    labels = parts.add_parser("labels", help="write labels for trays and wires, to print")
    labels.add_argument("id", metavar="ID")
    add_page(labels)
    labels.set_defaults(run=run_labels)
    take = parts.add_parser("import", help="take in a case file; never overwrites a case")
    take.add_argument("file", type=Path, metavar="FILE")
    take.set_defaults(run=run_import)
    for part in parts.choices.values():
        add_store(part)
        add_knowledge(part)


def add_page(labels: argparse.ArgumentParser) -> None:
    """Declare where the page of labels goes."""
    labels.add_argument("--to", type=Path, metavar="FILE", help="default: the deck's name, here")


def run_list(arguments: argparse.Namespace) -> int:
    """One line a case."""
    decks = shelf_of(arguments).decks()
    for deck in decks:
        touched = deck.touched.strftime("%Y-%m-%d %H:%M")
        say(f"{deck.id}  {touched}  {deck.family:10}  {deck.events:4} events  {deck.name}")
    if not decks:
        tell("There is no case yet. `benchtrail` or `benchtrail ask` takes a deck in.")
    return Exit.DONE


def run_show(arguments: argparse.Namespace) -> int:
    """Print the trail."""
    shelf = shelf_of(arguments)
    tell_left_out(shelf)
    say(markdown(shelf.reopen(arguments.id).tell_trail()))
    return Exit.DONE


def run_export(arguments: argparse.Namespace) -> int:
    """Write a file that was not there before, and say which."""
    form, shelf = arguments.format, shelf_of(arguments)
    tell_left_out(shelf)
    session = shelf.reopen(arguments.id)
    ending = ".case.json" if form == CASE else ENDINGS[form]
    path = arguments.to or Path(file_name(session.snapshot.state.name, ending))
    if form == CASE:
        shelf.export_file(arguments.id, path)
    else:
        write(session.tell_trail(), form, path)
    tell(f"Written to {path}.")
    return Exit.DONE


def run_labels(arguments: argparse.Namespace) -> int:
    """Write labels, and the list to put the deck together by, as one HTML page."""
    snapshot = shelf_of(arguments).reopen(arguments.id).snapshot
    name = snapshot.state.name
    path = arguments.to or Path(file_name(f"{name} labels", ".html"))
    write_labels(name, snapshot.case, stripped(snapshot.book, snapshot.state), path)
    tell(f"Written to {path}.")
    return Exit.DONE


def run_import(arguments: argparse.Namespace) -> int:
    """Take a case in and print its id."""
    found = shelf_of(arguments).import_file(arguments.file)
    say(found.case_id)
    tell("This case was here already." if found.was_here else "Taken in as a case of its own.")
    return Exit.DONE
