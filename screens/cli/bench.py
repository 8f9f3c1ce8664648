"""`benchtrail` without a command: the app in the terminal."""

from __future__ import annotations

import argparse
import sys

from screens.cli.exit_codes import Exit
from screens.cli.output import tell
from screens.cli.places import (
    add_knowledge,
    add_store,
    additions_root,
    cache_root,
    knowledge_root,
    store_path,
)


def add_bench(parser: argparse.ArgumentParser) -> None:
    """Declare what the bare command takes."""
    add_store(parser)
    add_knowledge(parser)
    parser.add_argument("--case", metavar="ID", help="open this case on the bench")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Open the shelf, or one case."""
    return open_app(arguments, arguments.case) if has_terminal() else Exit.WRONG_CALL


def has_terminal() -> bool:
    """Whether the app has a terminal; where it has none, what to call instead is said."""
    if sys.stdin.isatty() and sys.stdout.isatty():
        return True
    tell(
        "There is no terminal here for the app. Call `benchtrail ask` for plain prompts, or "
        "`benchtrail demo --plain` to read through the demo."
    )
    return False


def open_app(arguments: argparse.Namespace, case: str | None) -> int:
    """Open the app, on one case if there is an id."""
    # Inside, so that the other commands need not wait for it.
    from screens.app import BenchtrailApp

    BenchtrailApp(
        store_path(arguments),
        knowledge_root(arguments),
        case,
        additions=additions_root(arguments),
        cache=cache_root(arguments),
    ).run()
    return Exit.DONE
