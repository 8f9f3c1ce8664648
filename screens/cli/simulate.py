"""`benchtrail knowledge simulate`: how far a book gets on decks drawn from itself."""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import replace
from pathlib import Path

from diag.errors import BenchtrailError, UnknownId
from diag.model.book import Book
from diag.model.nearest import nearest
from screens.cli.exit_codes import Exit
from screens.cli.output import say, tell
from screens.cli.places import add_knowledge, read, the_family

DECKS = 100
POLICIES = ("walk", "textbook", "cost_over_probability", "information", "planner", "clairvoyant")
MOST_MISJUDGED = 5.0
"""Beyond this no figure of the book means anything any more."""
BAR = 30
"""Signs of the progress bar."""


def add(parts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    top = parts.add_parser(
        "simulate",
        help="draw decks from the book, hide their faults, and see how ways of working do",
        description="Draws decks from the book with their true faults hidden and lets ways of "
        "working find and mend them, each on the same decks with the same luck.",
    )
    top.add_argument(
        "--decks", type=_count, default=DECKS, metavar="N", help=f"how many (default {DECKS})"
    )
    top.add_argument("--seed", type=int, default=1, metavar="S", help="another seed, other decks")
    top.add_argument("--symptom", metavar="S", help="only decks with this complaint")
    top.add_argument(
        "--faults",
        type=_faults,
        default=None,
        metavar="LOW-HIGH",
        help="only decks with so many faults at once, such as 1-4",
    )
    top.add_argument(
        "--policy",
        action="append",
        choices=POLICIES,
        help="a way of working; may be given several times (default: all)",
    )
    top.add_argument(
        "--cant-tell",
        type=float,
        metavar="SHARE",
        help="share of checks whose answer can't be told (default 0.08)",
    )
    top.add_argument(
        "--misjudged",
        type=float,
        default=0.0,
        metavar="SD",
        help="how far the figures that are gone by are off: standard deviation on log-odds",
    )
    top.add_argument("--jobs", type=_count, metavar="N", help="processes (default: all cores)")
    top.add_argument("--family", metavar="NAME", help="the book to take, if there are several")
    top.add_argument("--json", action="store_true", help="print the figures as JSON")
    top.add_argument("--html", type=Path, metavar="FILE", help="write a page with plots as well")
    add_knowledge(top)
    top.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Simulate, then print."""
    # Inside, so that no other command has to wait for numpy and the rule engine.
    from diag.cases.new_file import check_is_new, write_new_file
    from diag.planning.simulation.bench import CANT_TELL
    from diag.planning.simulation.compare import Trial, compare
    from diag.planning.simulation.drawn_deck import Kind
    from diag.planning.simulation.json_form import json_form
    from diag.planning.simulation.page import html
    from diag.planning.simulation.score import score
    from diag.planning.simulation.told import lines

    _check_shares(arguments)
    book = _book(arguments)
    kind = Kind(symptom=arguments.symptom)
    if arguments.faults:
        kind = replace(kind, faults=arguments.faults)
    trial = Trial(
        decks=arguments.decks,
        seed=arguments.seed,
        policies=tuple(arguments.policy or POLICIES),
        kind=kind,
        cant_tell=CANT_TELL if arguments.cant_tell is None else arguments.cant_tell,
        misjudged=arguments.misjudged,
    )
    if arguments.html:
        check_is_new(arguments.html)  # said now, and not after an hour of work
    tried = compare(book, trial, _progress, arguments.jobs)
    found = score(tried)
    if arguments.html:
        write_new_file(arguments.html, html(book.family, found).encode("utf-8"), "page")
        tell(f"Written to {arguments.html}.")
    if arguments.json:
        say(json.dumps(json_form(trial, found), indent=2))
    else:
        for line in lines(found):
            say(line)
    return Exit.DONE


def _book(arguments: argparse.Namespace) -> Book:
    """The book that the call means.

    Raises:
        UnknownId: the book has no such symptom.
        BenchtrailError: there are several books and none was named.
    """
    book = read(arguments, the_family(arguments))
    wanted = arguments.symptom
    if wanted is not None and wanted not in book.symptoms:
        raise UnknownId(f"the book has no symptom '{wanted}'.", do=nearest(wanted, book.symptoms))
    return book


def _progress(done: int, of: int) -> None:
    """A bar on a terminal; a line every tenth elsewhere."""
    if sys.stderr.isatty():
        full = BAR * done // of
        end = "\n" if done == of else ""
        sys.stderr.write(f"\r[{'#' * full}{'.' * (BAR - full)}] {done} of {of} decks{end}")
        sys.stderr.flush()
    elif done == of or done * 10 // of != (done - 1) * 10 // of:
        tell(f"{done} of {of} decks")


def _check_shares(arguments: argparse.Namespace) -> None:
    """Refuse shares and deviations that mean nothing.

    Raises:
        BenchtrailError: what was found, and what to give.
    """
    if arguments.cant_tell is not None and not 0 <= arguments.cant_tell <= 1:
        raise BenchtrailError(
            f"{arguments.cant_tell} is no share of checks.", do="Give a number from 0 to 1."
        )
    if not 0 <= arguments.misjudged <= MOST_MISJUDGED:
        raise BenchtrailError(
            f"figures can't be off by {arguments.misjudged}.",
            do=f"Give a standard deviation from 0 to {MOST_MISJUDGED:g}.",
        )


def _count(text: str) -> int:
    """A number of things, at least one."""
    if not text.isdecimal() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"'{text}' is no whole number above 0")
    return int(text)


def _faults(text: str) -> tuple[int, int]:
    """`1-4`, or one number."""
    low, sign, high = text.partition("-")
    few, many = _count(low), _count(high if sign else low)
    if few > many:
        raise argparse.ArgumentTypeError(f"'{text}' goes down; write the smaller number first")
    return few, many
