"""`benchtrail tree SYMPTOM`: what to do about a complaint, as a decision tree for the wall."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING

from diag.errors import BenchtrailError, UnknownId
from diag.model.book import Book
from diag.model.nearest import nearest
from diag.model.trait import Deck
from diag.planning.tree.values import DEEPEST, DEPTH
from screens.cli.exit_codes import Exit
from screens.cli.output import say, tell
from screens.cli.places import add_knowledge, additions_root, family_names, knowledge_root, read

if TYPE_CHECKING:
    from diag.planning.tree.values import Tree

FORMATS = ("tree", "md", "html")
BY_ENDING = {".md": "md", ".html": "html", ".htm": "html"}
PATIENCE_S = 1.0
"""How long nobody asks whether it still works."""


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    top = commands.add_parser("tree", help="work a complaint out into a decision tree for the wall")
    top.add_argument("symptom", metavar="SYMPTOM", help="the id of a complaint, such as no_sound")
    top.add_argument(
        "--depth",
        type=int,
        choices=range(1, DEEPEST + 1),
        default=DEPTH,
        metavar="N",
        help=f"steps on the longest path, 1 to {DEEPEST} (default {DEPTH})",
    )
    top.add_argument(
        "--trait",
        action="append",
        default=[],
        metavar="TRAIT=VALUE",
        help="what is known of the deck, such as drive=belt; may be given several times",
    )
    top.add_argument("--age", type=float, metavar="YEARS", help="how old the deck is")
    top.add_argument("--family", metavar="NAME", help="the book to take, if there are several")
    top.add_argument(
        "--format", choices=FORMATS, help="default: by the ending of the file, or plain text"
    )
    top.add_argument("--output", type=Path, metavar="FILE", help="write a new file")
    add_knowledge(top)
    top.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Compile, then print or write."""
    # Inside, so that no other command has to wait for numpy and the rule engine.
    from diag.planning.tree.export import RENDERERS, write

    tree = compiled(arguments)
    path: Path | None = arguments.output
    ending = path.suffix.casefold() if path else ""
    form = arguments.format or BY_ENDING.get(ending, FORMATS[0])
    if path is None:
        say(RENDERERS[form](tree).rstrip("\n"))
    else:
        write(tree, form, path)
        tell(f"Written to {path}.")
    return Exit.DONE


def compiled(arguments: argparse.Namespace) -> Tree:
    """The tree that the call asks for.

    Raises:
        UnknownId: no book has such a symptom, trait or value.
        BenchtrailError: the age is no age, or several books have the symptom.
    """
    from diag.planning.tree.compile import compile_tree
    from diag.rules.rulebook import Rulebook

    book = _book(arguments)
    deck = Deck(age_years=_age(arguments.age), traits=traits_of(book, arguments.trait))
    progress = _Progress()
    try:
        return compile_tree(
            Rulebook(book), book, deck, arguments.symptom, arguments.depth, progress
        )
    finally:
        progress.end()


def traits_of(book: Book, told: Sequence[str]) -> dict[str, str]:
    """Traits from `trait=value`; of one given twice the last counts.

    Raises:
        UnknownId: the book has no such trait, or the trait no such value.
        BenchtrailError: it is not written like that.
    """
    found = {}
    for text in told:
        name, sign, value = (part.strip() for part in text.partition("="))
        if not sign:
            raise BenchtrailError(f"'{text}' is no trait.", do="Write it as drive=belt.")
        if name not in book.traits:
            raise UnknownId(f"the book has no trait '{name}'.", do=nearest(name, book.traits))
        values = book.traits[name].one_of
        if value not in values:
            raise UnknownId(
                f"the trait '{name}' has no value '{value}'.", do=nearest(value, values)
            )
        found[name] = value
    return found


def _age(years: float | None) -> float | None:
    if years is not None and not (isfinite(years) and years >= 0):
        raise BenchtrailError(f"{years:g} is no age.", do="Give years since the deck was made.")
    return years


def _book(arguments: argparse.Namespace) -> Book:
    """The book that is named, or the one that has the symptom."""
    from diag.reading.heads import first_families

    books = [read(arguments, name) for name in family_names(arguments)]
    having = {book.family: book for book in books if arguments.symptom in book.symptoms}
    if len(having) > 1:
        # Those that take over from a family have its complaints as well; the first one is meant.
        first = first_families(knowledge_root(arguments), additions_root(arguments))
        having = {name: having[name] for name in first if name in having} or having
    if len(having) > 1:
        raise BenchtrailError(
            f"several books have the symptom '{arguments.symptom}': {', '.join(having)}.",
            do="Name one with --family.",
        )
    if not having:
        known = [symptom for book in books for symptom in book.symptoms]
        do = nearest(arguments.symptom, known)
        raise UnknownId(f"the book has no symptom '{arguments.symptom}'.", do=do)
    return next(iter(having.values()))


class _Progress:
    """Says on a terminal how much is worked out, once that takes long."""

    def __init__(self) -> None:
        self._begun = time.monotonic()
        self._shown = ""

    def __call__(self, share: float) -> None:
        late = time.monotonic() - self._begun > PATIENCE_S
        shown = f"\rWorking the tree out: {share:4.0%}"
        if late and shown != self._shown and sys.stderr.isatty():
            self._shown = shown
            print(shown, end="", file=sys.stderr, flush=True)

    def end(self) -> None:
        """Leave no trace on the line."""
        if self._shown:
            print(f"\r{' ' * len(self._shown)}\r", end="", file=sys.stderr, flush=True)
