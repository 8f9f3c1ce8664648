"""`benchtrail rank FILE`: the causes of a case written by hand, and what to do next."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diag.model.book import Book
from screens.cli.exit_codes import Exit
from screens.cli.output import say
from screens.cli.places import add_knowledge, read

if TYPE_CHECKING:
    from diag.session.assessment import Assessment

SHOWN = 10
"""Causes printed as text; `--json` gives all."""


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    top = commands.add_parser("rank", help="rank the causes of a case in a short YAML file")
    top.add_argument("file", type=Path, metavar="FILE")
    top.add_argument("--json", action="store_true", help="print everything as JSON")
    add_knowledge(top)
    top.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Rank and print."""
    # Inside, so that no other command has to wait for numpy and the rule engine.
    from diag.reading.rank_file import rank_case, rank_file_family
    from diag.rules.rulebook import Rulebook
    from diag.session.assessment import assess, standing_after

    tree, family = rank_file_family(arguments.file)
    book = read(arguments, family)
    case = rank_case(tree, book, arguments.file)
    standing = standing_after(case.history)
    found = assess(book, Rulebook(book), case.deck, case.history, standing)
    if arguments.json:
        say(json.dumps(as_json(book, found), indent=2, allow_nan=False))
    else:
        say(as_text(book, found))
    return Exit.DONE


def as_json(book: Book, found: Assessment) -> dict[str, Any]:
    """Everything that `--json` prints; causes that the deck can't have come last, at zero."""
    step = found.steps[0] if found.steps else None
    bounds = found.posterior.bounds
    ranked = [
        {"id": cause.id, "says": cause.says, "probability": cause.probability}
        for cause in found.ranking
    ]
    ranked += [
        {"id": name, "says": cause.says, "probability": 0.0}
        for name, cause in book.causes.items()
        if name not in found.posterior.causes
    ]
    return {
        "causes": ranked,
        "next": step
        and {
            "kind": step.kind,
            "id": step.id,
            "expected_minutes": step.all_minutes,
            "why": step.why,
        },
        "log_evidence": found.log_evidence,
        "conflict": found.conflict.nats,
        "cautions": [
            {"id": name, "says": book.cautions[name].says} for name in found.conclusions.cautions
        ],
        "thumbs": [
            {
                "id": name,
                "says": book.thumbs[name].says,
                "source": book.sources[book.thumbs[name].source].title,
            }
            for name in found.conclusions.thumbs
        ],
        "outside": [
            {"sign": o.sign, "says": book.signs[o.sign].says, "probability": o.chance}
            for o in found.outside
        ],
        "bounds": None if bounds is None else {c: list(pair) for c, pair in bounds.items()},
    }


def as_text(book: Book, found: Assessment) -> str:
    """The first causes, the next step, and what the rules say."""
    from diag.model.words import chance_in_words, step_says
    from diag.session.words import outside_in_words

    lines = []
    for n, cause in enumerate(found.ranking[:SHOWN], start=1):
        chance = f"{chance_in_words(cause.probability):>6}"
        if cause.bounds:
            low, high = map(chance_in_words, cause.bounds)
            chance += f" (between {low} and {high})"
        lines.append(f"{n:>3}  {chance}  {cause.says}  ({cause.id})")
    lines += [f"Doubtful: {conflict.text}" for conflict in found.conclusions.conflicts]
    lines += [f"Caution: {book.cautions[name].says}" for name in found.conclusions.cautions]
    lines += [f"Thumb: {book.thumbs[name].says}" for name in found.conclusions.thumbs]
    lines += [words] if (words := outside_in_words(book, found)) else []
    if found.steps:
        step = found.steps[0]
        does = step_says(book, step.kind, step.id)
        lines += ["", f"Next {step.kind}: {does}  ({step.id})", f"  {step.why}"]
    return "\n".join(lines)
