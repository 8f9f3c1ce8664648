"""The `benchtrail` command: parses the call, runs one command, turns errors into exit codes."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence

from diag import __version__
from diag.errors import BenchtrailError, KnowledgeError
from screens.cli import (
    ask,
    case,
    demo,
    knowledge,
    measure,
    parts,
    rank,
    signal,
    strip_down,
    tree,
    work,
)
from screens.cli.bench import add_bench
from screens.cli.exit_codes import Exit
from screens.cli.output import tell, tell_problems

COMMANDS = (ask, case, demo, knowledge, measure, parts, rank, signal, strip_down, tree, work)


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    top = argparse.ArgumentParser(
        prog="benchtrail",
        description="Bench companion for restorers of old tape decks. Without a command, it opens "
        "the shelf of decks.",
    )
    top.add_argument("--version", action="version", version=f"benchtrail {__version__}")
    add_bench(top)
    commands = top.add_subparsers(dest="command", metavar="COMMAND")
    for command in COMMANDS:
        command.add(commands)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command line and return the code for the shell. Talk goes to stderr, data to stdout."""
    arguments = parser().parse_args(argv)
    try:
        return int(arguments.run(arguments))
    except KnowledgeError as error:
        tell_problems(error)
        return Exit.WRONG_CALL
    except BenchtrailError as error:
        tell(str(error))
        return Exit.WRONG_CALL
    except KeyboardInterrupt:
        tell("Stopped. Everything answered so far is saved.")
        return Exit.INTERRUPTED
    except BrokenPipeError:
        # The reader of a pipe went away; what is left to flush must not complain at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return Exit.DONE


def run() -> None:
    """The entry point of the installed command."""
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            # What a terminal can't show or did not send whole gets a stand-in, never a traceback.
            stream.reconfigure(errors="replace")
    sys.exit(main())
