"""`benchtrail knowledge`: check, show, compare and simulate books, print the schema."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from diag.errors import BenchtrailError, KnowledgeError
from diag.linting.doubts import doubts
from diag.model.book import Book
from diag.reading.location import families
from screens.cli import knowledge_diff, simulate
from screens.cli.entry_text import entry_text, find
from screens.cli.exit_codes import Exit
from screens.cli.output import say, tell
from screens.cli.places import add_knowledge, family_names, knowledge_root

COUNTED = ("causes", "checks", "remedies", "signs", "symptoms", "walks", "thumbs", "cautions")


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    top = commands.add_parser("knowledge", help="check and show what is known of decks")
    parts = top.add_subparsers(dest="part", metavar="PART", required=True)
    check = parts.add_parser("check", help="read a folder and tell every problem and doubt")
    check.add_argument("folder", nargs="?", type=Path, metavar="DIR")
    check.add_argument("--quiet", action="store_true", help="tell problems only, no doubts")
    add_knowledge(check)
    check.set_defaults(run=run_check)
    show = parts.add_parser("show", help="show an entry and all that refers to it")
    show.add_argument("id", metavar="ID")
    show.add_argument("--family", metavar="NAME", help="look in this family only")
    add_knowledge(show)
    show.set_defaults(run=run_show)
    simulate.add(parts)
    knowledge_diff.add(parts)
    schema = parts.add_parser("schema", help="print the JSON Schema of knowledge files")
    schema.set_defaults(run=run_schema)


def run_check(arguments: argparse.Namespace) -> int:
    """Exit 0 when every family can be used, 1 when one has problems."""
    from diag.reading.book import read_book

    root = arguments.folder or knowledge_root(arguments)
    names = families(root)
    if not names:
        raise BenchtrailError(
            "there is no family here.",
            where=str(root),
            do="Name a folder that has a family.yaml in it or one below.",
        )
    clean = True
    for name in names:
        try:
            book = read_book(root, name)
        except KnowledgeError as error:
            clean = False
            for problem in error.problems:
                say(str(problem))
            tell(f"{name}: {len(error.problems)} problem(s); it can't be used.")
            continue
        _report(book, quiet=arguments.quiet)
    return Exit.DONE if clean else Exit.PROBLEMS


def _report(book: Book, *, quiet: bool) -> None:
    found = doubts(book)
    for doubt in () if quiet else found:
        say(str(doubt))
    counts = ", ".join(f"{len(getattr(book, kind))} {kind}" for kind in COUNTED)
    say(f"{book.family}: {counts}; {len(found)} doubt(s). It can be used.")


def run_show(arguments: argparse.Namespace) -> int:
    """Print one entry."""
    from diag.reading.book import read_book

    root = knowledge_root(arguments)
    names = family_names(arguments)
    books = [read_book(root, name) for name in names]
    for book, section in find(books, arguments.id):
        say(entry_text(book, section, arguments.id))
    return Exit.DONE


def run_schema(_arguments: argparse.Namespace) -> int:
    """Print the schema."""
    from diag.reading.schema import json_schema

    say(json.dumps(json_schema(), indent=2))
    return Exit.DONE
