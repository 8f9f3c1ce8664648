"""Where knowledge and cases are, as the command line names them."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from platformdirs import user_cache_path, user_data_path

from diag.errors import AdditionsError, BenchtrailError
from diag.model.book import Book
from diag.reading.location import families, shipped
from screens.cli.output import tell_problems

if TYPE_CHECKING:
    from diag.session.shelf import Shelf

STORE_NAME = "cases.sqlite3"
ADDITIONS_NAME = "knowledge"
CACHE_NAME = "books"


def add_knowledge(parser: argparse.ArgumentParser) -> None:
    """`--knowledge DIR`, and what is laid over it."""
    parser.add_argument(
        "--knowledge",
        type=Path,
        metavar="DIR",
        default=argparse.SUPPRESS,
        help="read the book from this folder instead of the one that is shipped",
    )
    add_additions(parser)


def add_additions(parser: argparse.ArgumentParser) -> None:
    """`--additions DIR` and `--no-additions`."""
    which = parser.add_mutually_exclusive_group()
    which.add_argument(
        "--additions",
        type=Path,
        metavar="DIR",
        default=argparse.SUPPRESS,
        help="lay this folder of your own entries over the book, instead of the one in your data "
        "folder, which is laid over the shipped book only",
    )
    which.add_argument(
        "--no-additions",
        action="store_true",
        default=argparse.SUPPRESS,
        help="read the book without your own entries",
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


def additions_root(arguments: argparse.Namespace) -> Path | None:
    """The folder of additions that the call names, or the user's own, or None.

    The user's own folder adds to the shipped book; a book that the call names is taken as it is.

    Raises:
        BenchtrailError: the folder that was named is not there.
    """
    named: Path | None = getattr(arguments, "additions", None)
    if named is not None:
        if named.is_dir():
            return named
        raise BenchtrailError("there is no such folder.", where=str(named), do="Check --additions.")
    own = _users_own(arguments)
    return own if own is not None and own.is_dir() else None


def _users_own(arguments: argparse.Namespace) -> Path | None:
    """The user's own folder, there or not; None if the call goes without or names a book."""
    if getattr(arguments, "no_additions", False) or getattr(arguments, "knowledge", None):
        return None
    return user_data_path("benchtrail", appauthor=False) / ADDITIONS_NAME


def cache_root(arguments: argparse.Namespace) -> Path | None:
    """Where the shipped book is kept as it was read; a book that the call names is not kept."""
    if getattr(arguments, "knowledge", None):
        return None
    return user_cache_path("benchtrail", appauthor=False) / CACHE_NAME


def own_folder(arguments: argparse.Namespace) -> Path:
    """The folder that the user's own entries are written to; it may not be there yet.

    Raises:
        BenchtrailError: the call says that it goes without, or names a book but no such folder.
    """
    folder = getattr(arguments, "additions", None) or _users_own(arguments)
    if folder is None:
        raise BenchtrailError(
            "the call names no folder for entries of your own.",
            do="Name one with --additions, or leave --knowledge and --no-additions out.",
        )
    return folder


def read(arguments: argparse.Namespace, family: str) -> Book:
    """The book of a family as the call names it; tells why additions to it are left out.

    Raises:
        BenchtrailError: there is no such family, or its book can't be used.
    """
    from diag.reading.book import read_usable_book

    root, additions = knowledge_root(arguments), additions_root(arguments)
    book, left_out = read_usable_book(root, family, additions, cache_root(arguments))
    if left_out:
        tell_problems(AdditionsError(left_out))
    return book


def families_of(root: Path, additions: Path | None = None) -> tuple[str, ...]:
    """The families of a folder and of additions to it.

    Raises:
        BenchtrailError: there are none.
    """
    found = families(root, additions)
    if not found:
        raise BenchtrailError(
            "there is no family here.",
            where=str(root),
            do="Name a folder that has a family.yaml in it or one below.",
        )
    return found


def family_names(arguments: argparse.Namespace) -> tuple[str, ...]:
    """The family that the call names with `--family`, or all that there are."""
    if arguments.family:
        return (arguments.family,)
    return families(knowledge_root(arguments), additions_root(arguments))


def shelf_of(arguments: argparse.Namespace, store: Path | None = None) -> Shelf:
    """The shelf that the call names; `store` stands for the file of cases."""
    # Inside, so that other commands need not wait for it.
    from diag.session.shelf import Shelf

    return Shelf(
        store or store_path(arguments),
        knowledge_root(arguments),
        additions_root(arguments),
        cache=cache_root(arguments),
    )


def tell_left_out(shelf: Shelf) -> None:
    """Say why additions are left out, if any are."""
    if (error := shelf.additions_error()) is not None:
        tell_problems(error)


def the_family(arguments: argparse.Namespace) -> str:
    """The family that the call names with `--family`, or the one that a call without it means.

    That is the only one, or the only one that takes over from no other.

    Raises:
        BenchtrailError: there are several such, or none.
    """
    from diag.reading.heads import first_families

    names = family_names(arguments)
    if len(names) > 1:
        names = first_families(knowledge_root(arguments), additions_root(arguments)) or names
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
