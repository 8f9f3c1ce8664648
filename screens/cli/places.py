"""Where knowledge and cases are, as the command line names them."""

from __future__ import annotations

import argparse
from pathlib import Path

from platformdirs import user_data_path

from diag.errors import BenchtrailError
from diag.reading.location import families, shipped

STORE_NAME = "cases.sqlite3"


def add_knowledge(parser: argparse.ArgumentParser) -> None:
    """`--knowledge DIR`."""
    parser.add_argument(
        "--knowledge",
        type=Path,
        metavar="DIR",
        default=argparse.SUPPRESS,
        help="read the book from this folder instead of the one that is shipped",
    )


def add_store(parser: argparse.ArgumentParser) -> None:
    """`--store FILE`."""
    parser.add_argument(
        "--store",
        type=Path,
        metavar="FILE",
        default=argparse.SUPPRESS,
        help="keep cases in this file instead of the one in your data folder",
    )


def knowledge_root(arguments: argparse.Namespace) -> Path:
    """The folder of knowledge that the call names, or the shipped one."""
    named: Path | None = getattr(arguments, "knowledge", None)
    return named or shipped()


def family_names(arguments: argparse.Namespace) -> tuple[str, ...]:
    """The family that the call names with `--family`, or all that the folder of knowledge has."""
    return (arguments.family,) if arguments.family else tuple(families(knowledge_root(arguments)))


def the_family(arguments: argparse.Namespace) -> str:
    """The family that the call names with `--family`, or the one that a call without it means.

    That is the only one, or the only one that takes over from no other.

    Raises:
        BenchtrailError: there are several such, or none.
    """
    from diag.reading.first_families import first_families

    names = family_names(arguments)
    if len(names) > 1:
        names = first_families(knowledge_root(arguments)) or names
    if len(names) != 1:
        named = ", ".join(names) or "none"
        raise BenchtrailError(
            f"there are several families here, or none: {named}.",
            where=str(knowledge_root(arguments)),
            do="Name one with --family.",
        )
    return names[0]


def store_path(arguments: argparse.Namespace) -> Path:
    """The case store that the call names, or the one in the user's data folder."""
    named: Path | None = getattr(arguments, "store", None)
    return named or user_data_path("benchtrail", appauthor=False) / STORE_NAME
