"""`benchtrail knowledge diff OLD NEW`: what changed in words, and which worked cases moved."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from diag.errors import BenchtrailError, RankFileError
from diag.model.book import Book
from diag.model.changes import EntryChange, changes
from diag.model.mentions import kind_of
from diag.reading.location import shipped_cases
from screens.cli.exit_codes import Exit
from screens.cli.output import say, tell
from screens.cli.places import families_of


def add(parts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    top = parts.add_parser("diff", help="tell what changed from one folder of knowledge to another")
    top.add_argument("old", type=Path, metavar="OLD")
    top.add_argument("new", type=Path, metavar="NEW")
    top.add_argument(
        "--basis", action="store_true", help="tell changes of words that say where a figure is from"
    )
    top.add_argument(
        "--cases",
        type=Path,
        metavar="DIR",
        help="worked cases (with a cases.yaml) whose true causes are ranked by both "
        "(default: those of the shipped books)",
    )
    top.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Print every change; exit 0 whether there are any or none.

    Raises:
        KnowledgeError: one of the books can't be used.
        BenchtrailError: there is no family in one of the folders.
    """
    from diag.reading.book import read_book

    old_names, new_names = families_of(arguments.old), families_of(arguments.new)
    both = [name for name in old_names if name in new_names]
    books = {n: (read_book(arguments.old, n), read_book(arguments.new, n)) for n in both}
    for name in new_names:
        if name not in old_names:
            say(f"{name}: a new family.")
    for name in old_names:
        if name not in new_names:
            say(f"{name}: this family is gone.")
    for name, (old, new) in books.items():
        found = changes(old, new)
        say(f"{name}: {_counts(found)}")
        found = found if arguments.basis else _without_basis(found)
        for change in found:
            for line in in_words(change, old, new):
                say(f"  {line}")
    cases = arguments.cases or shipped_cases()
    told = [*moved(cases, books, must=arguments.cases is not None)] if cases else []
    for line in told:
        say(line)
    if not told:
        tell("No worked cases were compared; name a folder of them with --cases DIR.")
    return Exit.DONE


def in_words(change: EntryChange, old: Book, new: Book) -> Iterator[str]:
    """One entry that changed: a line, and a line for each figure."""
    from diag.session.entry_title import entry_title

    ref = change.ref
    kind = kind_of(ref.section).replace("_", " ")
    if ref.section == "family":
        yield f"The list {ref.id} changed:"
    else:
        says = entry_title(old if change.how == "removed" else new, ref)
        instead = f"; '{change.replaced_by}' stands for it" if change.replaced_by else ""
        yield f"{kind} {ref.id} {change.how}: {says}{instead}"
    for figure in change.figures:
        at = figure.at.replace("_", " ") or "it"
        if figure.old is None:
            yield f"    {at}: {figure.new} (new)"
        elif figure.new is None:
            yield f"    {at}: was {figure.old}, now nothing"
        else:
            yield f"    {at}: {figure.old} -> {figure.new}"


def moved(
    folder: Path, books: Mapping[str, tuple[Book, Book]], *, must: bool = True
) -> Iterator[str]:
    """The worked cases of which a true cause has another place, or that one book can't read.

    Raises:
        BenchtrailError: there are none of these families, though there must be.
    """
    from diag.rules.rulebook import Rulebook
    from diag.session.worked_cases import WorkedCase, places, worked_cases

    rulebooks = {name: tuple(map(Rulebook, pair)) for name, pair in books.items()}

    def ranked(case: WorkedCase, which: int) -> Mapping[str, int] | str:
        try:
            return places(case, books[case.family][which], rulebooks[case.family][which])
        except RankFileError as error:
            return f"can't be read: {error}"

    cases = [case for case in worked_cases(folder) if case.family in books]
    if not cases and must:
        raise BenchtrailError(
            "no worked cases of these families are here.",
            where=str(folder),
            do="Name a folder that has a cases.yaml in it or below.",
        )
    if not cases:
        return
    lines = []
    for case in cases:
        before, after = ranked(case, 0), ranked(case, 1)
        if isinstance(after, str):
            lines.append(f"  {case.path.stem}: {after}")
        elif isinstance(before, str):
            lines.append(f"  {case.path.stem}: could not be read by the old book; {_places(after)}")
        elif before != after:
            lines.append(f"  {case.path.stem}: {_moves(before, after)}")
    yield f"Worked cases: {len(cases)}, of which {len(lines)} moved."
    yield from lines


def _counts(found: tuple[EntryChange, ...]) -> str:
    if not found:
        return "nothing changed."
    counts = {how: sum(c.how == how for c in found) for how in ("added", "changed", "removed")}
    return ", ".join(f"{count} {how}" for how, count in counts.items() if count) + "."


def _without_basis(found: tuple[EntryChange, ...]) -> tuple[EntryChange, ...]:
    """The changes without those of the words behind a figure."""
    kept = []
    for change in found:
        figures = tuple(f for f in change.figures if not f.at.startswith("basis."))
        if figures or not change.figures:
            kept.append(replace(change, figures=figures))
    return tuple(kept)


def _places(found: Mapping[str, int]) -> str:
    return ", ".join(f"{cause} at place {place}" for cause, place in found.items())


def _moves(before: Mapping[str, int], after: Mapping[str, int]) -> str:
    return ", ".join(
        f"{cause} from place {before[cause]} to {after[cause]}"
        for cause in before
        if before[cause] != after[cause]
    )
