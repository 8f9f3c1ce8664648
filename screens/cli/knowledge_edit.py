"""`benchtrail knowledge edit WHAT`: change an entry in the user's own folder, checked on return."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from diag.cases.new_file import write_new_file
from diag.errors import BenchtrailError, KnowledgeError, Problem
from diag.model.book import Book
from diag.model.changes import changes
from diag.model.figures import ADDITIONS
from diag.model.mentions import Ref
from diag.reading.location import families
from screens.cli.entry_text import find
from screens.cli.exit_codes import Exit
from screens.cli.knowledge_diff import in_words
from screens.cli.output import say, tell
from screens.cli.places import (
    add_knowledge,
    additions_root,
    family_names,
    knowledge_root,
    own_folder,
    the_family,
)
from screens.editor import open_in_editor

Books = Mapping[str, Book]


@dataclass(frozen=True, slots=True)
class Place:
    """The file that is edited and the line of the entry; `is_new` if it was made for this."""

    path: Path
    line: int = 1
    is_new: bool = False


def add(parts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    top = parts.add_parser(
        "edit", help="open an entry in your editor, as an addition of yours, and check it"
    )
    top.add_argument("what", metavar="WHAT", help="an id, SECTION/ID, or a file of yours")
    top.add_argument("--family", metavar="NAME", help="the book that has it")
    add_knowledge(top)
    top.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Edit, check, and tell what has changed. Exit 1 when problems are left.

    Raises:
        BenchtrailError: there is no such entry or file, no editor, or nowhere to write.
    """
    before, _ = _read(arguments)
    place = _place(arguments, before)
    line = place.line
    while True:
        open_in_editor(place.path, line)
        after, problems = _read(arguments)
        if not problems:
            break
        for problem in problems:
            say(str(problem))
        if not _wants_again():
            tell("Your additions are left out until this is mended.")
            return Exit.PROBLEMS
        line = next((p.line for p in problems if p.path.endswith(place.path.name)), line)
    told = [
        line
        for name in after
        if name in before
        for change in changes(before[name], after[name])
        for line in in_words(change, before[name], after[name])
    ]
    # Families that take the entry over have changed alike.
    for each in dict.fromkeys(told):
        say(each)
    if not told and place.is_new:
        place.path.unlink()
        tell("Nothing was changed; the copy was taken away again.")
    else:
        tell(f"Checked. It stands in {place.path}")
    return Exit.DONE


def _read(arguments: argparse.Namespace) -> tuple[Books, tuple[Problem, ...]]:
    """Every book as it reads now, and the problems of those that can't be read."""
    from diag.reading.book import read_book

    root, additions = knowledge_root(arguments), additions_root(arguments)
    books: dict[str, Book] = {}
    problems: list[Problem] = []
    for name in families(root, additions):
        try:
            books[name] = read_book(root, name, additions)
        except KnowledgeError as error:
            problems += error.problems
    return books, tuple(dict.fromkeys(problems))


def _place(arguments: argparse.Namespace, books: Books) -> Place:
    """The file that was named, or the one with the entry, copied if it is shipped."""
    named = Path(arguments.what)
    if named.is_file():
        return Place(named)
    additions = own_folder(arguments)
    book, ref = _entry(arguments, books)
    entry = getattr(book, ref.section)[ref.id]
    if entry.origin.is_addition:
        return Place(_file(entry.origin.path, additions), entry.origin.line)
    return _copy(book, ref, knowledge_root(arguments), additions)


def _entry(arguments: argparse.Namespace, books: Books) -> tuple[Book, Ref]:
    section, _, name = arguments.what.replace("/", ".").rpartition(".")
    wanted = [books[n] for n in family_names(arguments) if n in books]
    found = [(b, s) for b, s in find(wanted, name) if section in ("", s)]
    if len({b.family for b, _ in found}) > 1:
        own = the_family(arguments)
        found = [(b, s) for b, s in found if b.family == own] or found[:1]
    if len(found) != 1:
        sections = ", ".join(f"{s}/{name}" for _, s in found) or f"none in {section}"
        raise BenchtrailError(f"'{name}' is several entries: {sections}.", do="Name one of them.")
    ((book, section),) = found
    return book, Ref(section, name)


def _copy(book: Book, ref: Ref, root: Path, additions: Path) -> Place:
    """A new file with a shipped entry and what its file says of the figures."""
    from diag.reading.book import read_book
    from diag.reading.entry_lines import entry_lines

    entry = getattr(book, ref.section)[ref.id]
    source = _file(entry.origin.path, root)
    _, text = entry_lines(source, ref.section, ref.id)
    head = (
        f"# Your change of {ref.id}, which is shipped in {entry.origin.path}.\n"
        "# It stands in place of the shipped entry for as long as this file is here.\n"
    )
    try:
        head += entry_lines(source, "basis")[1] + "\n"
    except BenchtrailError:
        head += "\n"  # the file says of no figure where it comes from
    path = additions / book.family / f"{ref.section}_{ref.id}.yaml"
    path.parent.mkdir(parents=True, exist_ok=True)
    lines = f"{head}{ref.section}:\n{text}"
    write_new_file(path, lines.encode("utf-8"), "knowledge file")
    try:
        copied = getattr(read_book(root, book.family, additions), ref.section)[ref.id]
    except KnowledgeError:
        copied = None
    if copied != entry:
        path.unlink()
        raise BenchtrailError(
            f"'{ref.id}' does not stand on lines of its own.",
            where=str(entry.origin),
            do=f"Copy it by hand into a file below {path.parent}.",
        )
    return Place(path, lines[: lines.index(text)].count("\n") + 1, is_new=True)


def _file(shown: str, root: Path) -> Path:
    """The file of an origin, which begins with the folder of its family."""
    inside = shown.removeprefix(f"{ADDITIONS}/")
    path = root / inside
    # The root may be the folder of the family itself.
    return path if path.is_file() else root.parent / inside


def _wants_again() -> bool:
    if not sys.stdin.isatty():
        return False
    tell("Open it again? [Y/n]")
    return sys.stdin.readline().strip().casefold() not in ("n", "no")
