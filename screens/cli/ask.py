"""`benchtrail ask`: the whole job with plain prompts, for dumb terminals and screen readers."""

from __future__ import annotations

import argparse

from screens.cli.exit_codes import Exit
from screens.cli.output import say
from screens.cli.places import add_knowledge, add_store, shelf_of, tell_left_out


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    top = commands.add_parser("ask", help="the same job with plain prompts")
    top.add_argument("--case", metavar="ID", help="go on with this case")
    add_store(top)
    add_knowledge(top)
    top.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Take a deck in, or go on with one, until the restorer quits or input ends."""
    from screens.cli.ask_bench import Bench
    from screens.cli.ask_intake import take_in
    from screens.cli.prompts import EndOfInput, Prompts

    shelf, prompts = shelf_of(arguments), Prompts()
    tell_left_out(shelf)
    try:
        session = shelf.reopen(arguments.case) if arguments.case else take_in(shelf, prompts)
        say(f"This is case {session.case}; `benchtrail ask --case {session.case}` goes on with it.")
        Bench(shelf, session, prompts).work()
    except EndOfInput:
        say()
    say("Everything answered is saved.")
    return Exit.DONE
