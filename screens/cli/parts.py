"""`benchtrail parts`: what the decks need, as an order list or a CSV file."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from typing import get_args

from diag.cases.new_file import write_new_file
from diag.cases.part_kept import PartState
from diag.errors import BenchtrailError
from diag.model.nearest import nearest
from diag.session.parts import (
    TO_ORDER,
    DeckPart,
    PartLine,
    cost,
    keep_part,
    part_words,
    parts_csv,
    parts_of,
)
from screens.cli.exit_codes import Exit
from screens.cli.output import say, tell
from screens.cli.places import add_knowledge, add_store, shelf_of
from screens.numbers import number_of

STATES = get_args(PartState)


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    top = commands.add_parser("parts", help="the order list of all decks; how a part stands")
    parts = top.add_subparsers(dest="part", metavar="PART", required=True)
    listed = parts.add_parser("list", help="what is wanted, ordered or has arrived, of all decks")
    listed.add_argument("--case", metavar="ID", default="", help="of this case only")
    listed.add_argument("--all", action="store_true", help="what is fitted or not needed, too")
    listed.add_argument("--csv", type=Path, metavar="FILE", help="write it for a spreadsheet")
    listed.set_defaults(run=run_list)
    kept = parts.add_parser("set", help="say how a part of a case stands; a new one is added")
    kept.add_argument("id", metavar="ID")
    kept.add_argument("name", metavar="NAME", help="as `parts list` shows it")
    kept.add_argument("--state", choices=STATES)
    kept.add_argument("--count", type=int)
    kept.add_argument("--price", help="of one, in your own money")
    kept.add_argument("--note")
    kept.set_defaults(run=run_set)
    for part in parts.choices.values():
        add_store(part)
        add_knowledge(part)


def run_list(arguments: argparse.Namespace) -> int:
    """One line a part, and what they cost together; or a file."""
    shelf = shelf_of(arguments)
    found = shelf.parts(STATES if arguments.all else TO_ORDER)
    if arguments.case:
        shelf.cases.events(arguments.case)  # says so when there is no such case
        found = tuple(part for part in found if part.case == arguments.case)
    if arguments.csv is not None:
        write_new_file(arguments.csv, parts_csv(found), "list of parts")
        tell(f"Written to {arguments.csv}.")
        return Exit.DONE
    for part in found:
        say(_line(part))
    if found:
        tell(f"{len(found)} in all, {cost(part.line for part in found):.2f} as far as priced.")
    else:
        tell("No part is wanted, ordered or waiting to be fitted.")
    return Exit.DONE


def run_set(arguments: argparse.Namespace) -> int:
    """Write down how a part stands, and print it."""
    session = shelf_of(arguments).reopen(arguments.id)
    lines = parts_of(session.book, session.snapshot.state)
    named = [line for line in lines if line.part == arguments.name]
    if len(named) > 1:
        raise BenchtrailError(
            f"{len(named)} remedies need '{arguments.name}'.",
            where=arguments.id,
            do="Say it on the screen of parts, where each stands in its own row.",
        )
    if not named and (near := nearest(arguments.name, [line.part for line in lines])):
        tell(f"Added as a part of its own. {near}")
    new = PartLine(part=arguments.name, remedy="", work="", state="wanted")
    line = named[0] if named else new
    asked = {key: getattr(arguments, key) for key in ("state", "count", "price", "note")}
    told = {key: value for key, value in asked.items() if value is not None}
    if "price" in told:
        told["price"] = number_of(told["price"])
    keep_part(session, replace(line, **told))
    say(part_words(replace(line, **told)))
    return Exit.DONE


def _line(found: DeckPart) -> str:
    return f"{found.case}  {found.deck}: {part_words(found.line)}"
