"""`benchtrail` without a command: the app in the terminal."""

from __future__ import annotations

import argparse
import sys

from screens.cli.exit_codes import Exit
from screens.cli.output import tell
from screens.cli.places import add_knowledge, add_store, knowledge_root, store_path


def add_bench(parser: argparse.ArgumentParser) -> None:
    """Declare what the bare command takes."""
    add_store(parser)
    add_knowledge(parser)
    parser.add_argument("--case", metavar="ID", help="open this case on the bench")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Open the shelf, or one case."""
    return open_app(arguments, arguments.case)


def open_app(arguments: argparse.Namespace, case: str | None) -> int:
    """Open the app; where there is no terminal, say what to call instead."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        tell(
            "There is no terminal here for the app. Call `benchtrail ask` for plain prompts, or "
            "`benchtrail demo --plain` to read through the demo."
        )
        return Exit.WRONG_CALL
    from screens.app import run_app

    run_app(store_path(arguments), knowledge_root(arguments), case)
    return Exit.DONE
