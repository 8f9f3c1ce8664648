"""`benchtrail knowledge score DIR`: how well the books do on worked cases."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from diag.errors import BenchtrailError
from diag.reading.location import shipped_cases
from screens.cli.exit_codes import Exit
from screens.cli.output import say
from screens.cli.places import add_knowledge, read

if TYPE_CHECKING:
    from diag.session.score_card import ScoreCard, Scored


def add(parts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    top = parts.add_parser("score", help="tell how a book ranks the true causes of worked cases")
    top.add_argument(
        "folder",
        type=Path,
        nargs="?",
        metavar="DIR",
        help="has a cases.yaml in it or below (default: the cases of the shipped books)",
    )
    top.add_argument(
        "--led",
        action="store_true",
        help="also let the tool lead from the complaint, on decks drawn with the true faults",
    )
    top.add_argument("--json", action="store_true", help="print the figures as JSON")
    add_knowledge(top)
    top.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Score and print.

    Raises:
        BenchtrailError: there are no cases; a case or its book can't be read.
    """
    from diag.rules.rulebook import Rulebook
    from diag.session.score_card import score_card, scored
    from diag.session.worked_cases import worked_cases

    folder = arguments.folder or shipped_cases()
    cases = worked_cases(folder) if folder else ()
    if not cases:
        raise BenchtrailError(
            "no worked cases are here.",
            where=str(folder or ""),
            do="Name a folder that has a cases.yaml in it or below.",
        )
    found = []
    for family in sorted({case.family for case in cases}):
        book = read(arguments, family)
        rulebook = Rulebook(book)
        found += [scored(c, book, rulebook, led=arguments.led) for c in cases if c.family == family]
    card = score_card(found, led=arguments.led)
    if arguments.json:
        say(json.dumps({**asdict(card), "by_case": [_case(each) for each in found]}, indent=2))
    else:
        for line in lines(card, found):
            say(line)
    return Exit.DONE


def lines(card: ScoreCard, found: list[Scored]) -> Iterator[str]:
    """The figures, then the cases whose true cause doesn't come first."""
    yield f"{card.cases} worked cases"
    yield f"true cause first: {_share(card.first)}"
    yield f"among the first three: {_share(card.first_three)}"
    yield f"among the first five: {_share(card.first_five)}"
    yield f"mean place: {card.mean_place:.2f}"
    yield "(with several true causes each may have the others before it)"
    if card.several_in_five is not None:
        share = _share(card.several_in_five)
        yield f"{card.several} cases have several true causes: {share} of those in the first five"
    if card.found_share is not None:
        half = card.median_minutes
        after = "" if half is None else f", half of those within {half:.0f} minutes"
        yield f"led from the complaint: all in sight in {_share(card.found_share)}{after}"
    for each in found:
        if max(each.places.values()) > len(each.places):
            places = ", ".join(f"{cause} {place}" for cause, place in each.places.items())
            yield f"  {each.case.family}/{each.case.path.stem}: {places}"


def _share(share: float) -> str:
    return f"{share:.0%}".replace("%", " %")


def _case(each: Scored) -> dict[str, object]:
    return {
        "family": each.case.family,
        "case": each.case.path.stem,
        "standing": each.case.standing,
        "places": dict(each.places),
        "minutes": each.minutes,
    }
