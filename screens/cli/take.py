"""`--case ID --take NUMBERS`: which of what was found goes into a case."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TypeVar

from diag.errors import BenchtrailError
from screens.cli.places import add_store

NONE, ALL = "none", "all"
Each = TypeVar("Each")


def add_case_and_take(parser: argparse.ArgumentParser, case: str, take: str) -> None:
    """Declare both, with what they do in words, and where cases are kept."""
    parser.add_argument("--case", metavar="ID", help=case)
    parser.add_argument("--take", metavar="NUMBERS", help=take)
    add_store(parser)


def needs_case(arguments: argparse.Namespace) -> None:
    """Raises BenchtrailError where something is to go into no case."""
    if arguments.take is not None and not arguments.case:
        raise BenchtrailError("no case is named.", where="--take", do="Name one with --case ID.")


def chosen(found: Sequence[Each], typed: str | None, what: str) -> tuple[Each, ...] | None:
    """What `--take` names of what was found; None if it isn't there.

    Raises:
        BenchtrailError: it asks for what there is not; `what` is the thing that says it.
    """
    if typed is None:
        return None
    if typed in (NONE, ALL):
        return tuple(found) if typed == ALL else ()
    words = [word for word in typed.replace(",", " ").split() if word]
    known = {str(number): each for number, each in enumerate(found, start=1)}
    wrong = next((word for word in words if word not in known), None)
    if wrong is not None or not words:
        span = f"1 to {len(found)}" if found else "no number"
        raise BenchtrailError(
            f"'{wrong or typed}' is no number of what {what} says.",
            where="--take",
            do=f"Give {span}, all, or none.",
        )
    return tuple(known[word] for word in dict.fromkeys(words))
