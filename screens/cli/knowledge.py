"""`benchtrail knowledge`: check a book, show an entry, simulate, print the schema."""

from __future__ import annotations

import argparse
import json
from collections import Counter
from collections.abc import Collection, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from diag.errors import KnowledgeError, UnknownId
from diag.model.mentions import SECTIONS
from diag.reading.location import strays
from screens.cli import (
    knowledge_diff,
    knowledge_edit,
    knowledge_new,
    knowledge_score,
    simulate,
)
from screens.cli.entry_text import entry_text, find
from screens.cli.exit_codes import Exit
from screens.cli.output import say, tell
from screens.cli.places import (
    add_knowledge,
    additions_root,
    families_of,
    family_names,
    knowledge_root,
    read,
)

if TYPE_CHECKING:
    from diag.linting.doubt import Doubt
    from diag.model.book import Book

COUNTED = ("causes", "checks", "remedies", "signs", "symptoms", "walks", "thumbs", "cautions")


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    top = commands.add_parser("knowledge", help="check and show what is known of decks")
    parts = top.add_subparsers(dest="part", metavar="PART", required=True)
    check = parts.add_parser("check", help="read a folder and tell every problem and doubt")
    check.add_argument("folder", nargs="?", type=Path, metavar="DIR")
    check.add_argument("--quiet", action="store_true", help="tell problems only, no doubts")
    check.add_argument("--doubts", metavar="CODE", help="tell the doubts of this code only")
    check.add_argument(
        "--strict", action="store_true", help="exit 1 if there is any doubt (of that code)"
    )
    add_knowledge(check)
    check.set_defaults(run=run_check)
    show = parts.add_parser("show", help="show an entry and all that refers to it")
    show.add_argument("id", metavar="ID")
    show.add_argument("--family", metavar="NAME", help="look in this family only")
    add_knowledge(show)
    show.set_defaults(run=run_show)
    simulate.add(parts)
    knowledge_new.add(parts)
    knowledge_edit.add(parts)
    knowledge_diff.add(parts)
    knowledge_score.add(parts)
    schema = parts.add_parser("schema", help="print the JSON Schema of knowledge files")
    schema.set_defaults(run=run_schema)


def run_check(arguments: argparse.Namespace) -> int:
    """Exit 0 when every family can be used, 1 when one has problems, or doubts and `--strict`."""
    from diag.reading.book import read_book

    codes = _codes(arguments.doubts)
    if arguments.folder:
        arguments.knowledge = arguments.folder
    root, additions = knowledge_root(arguments), additions_root(arguments)
    names = families_of(root, additions)
    unread = strays(root, additions) if additions else ()
    for problem in unread:
        say(str(problem))
    clean = not unread
    told: set[Doubt] = set()
    for name in names:
        try:
            book = read_book(root, name, additions)
        except KnowledgeError as error:
            clean = False
            for problem in error.problems:
                say(str(problem))
            tell(f"{name}: {len(error.problems)} problem(s); it can't be used.")
            continue
        if arguments.strict or not arguments.quiet:
            found = _doubts(book, codes, told, quiet=arguments.quiet)
            told.update(found)
            clean = clean and not (arguments.strict and found)
        say(f"{_counted(book)}. It can be used.")
        _say_additions(book)
    return Exit.DONE if clean else Exit.PROBLEMS


def _codes(named: str | None) -> Sequence[str]:
    """The code to look for, or none for all."""
    from diag.linting.doubts import FINDINGS

    known = sorted(finding.code for finding in FINDINGS)
    code = (named or "").upper()
    if code and code not in known:
        raise UnknownId(f"no doubt has the code '{named}'.", do=f"There are: {', '.join(known)}.")
    return [code] if code else []


def _doubts(
    book: Book, codes: Sequence[str], told: Collection[Doubt], *, quiet: bool
) -> Sequence[Doubt]:
    """The doubts but those `told` of another family that shares the entry.

    They are told with their counts by code unless `quiet`.
    """
    from diag.linting.doubts import FINDINGS, doubts

    found = [doubt for doubt in doubts(book, codes) if doubt not in told]
    if quiet:
        return found
    for doubt in found:
        say(str(doubt))
    counts = Counter(doubt.code for doubt in found)
    for finding in FINDINGS:
        if counts[finding.code]:
            say(f"{counts[finding.code]:5}  {finding.code}  {finding.says}")
    say(f"{len(found):5}  doubt(s){f' of {codes[0]}' if codes else ''}")
    return found


def _counted(book: Book) -> str:
    """How much a book has of what, and how many of its figures say where they come from."""
    from diag.linting.basis import figures_of

    counts = ", ".join(f"{len(getattr(book, kind))} {kind}" for kind in COUNTED)
    stated = [figure.has_basis for figure in figures_of(book)]
    return f"{book.family}: {counts}; figures with a basis: {sum(stated)} of {len(stated)}"


def _say_additions(book: Book) -> None:
    """How much of a book is the user's own, and what it stands in place of."""
    added = sum(
        entry.origin.is_addition for kind in SECTIONS for entry in getattr(book, kind).values()
    )
    if added or book.replaced:
        replaced = ", ".join(".".join(key) for key in book.replaced) or "none"
        say(f"{book.family}: {added} of them your additions; they replace: {replaced}.")


def run_show(arguments: argparse.Namespace) -> int:
    """Print one entry."""
    books = [read(arguments, name) for name in family_names(arguments)]
    for book, section in find(books, arguments.id):
        say(entry_text(book, section, arguments.id))
    return Exit.DONE


def run_schema(_arguments: argparse.Namespace) -> int:
    """Print the schema."""
    from diag.reading.schema import json_schema

    say(json.dumps(json_schema(), indent=2))
    return Exit.DONE
