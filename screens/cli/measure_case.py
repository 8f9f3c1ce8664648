"""`benchtrail measure ... --case ID`: what a recording says to a case, and putting it there."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from diag.errors import BenchtrailError
from screens.cli.output import say, say_wrapped, tell
from screens.cli.take import add_case_and_take, chosen, needs_case
from screens.heard import answer_of, answering_only, take_all

if TYPE_CHECKING:
    from diag.session.listening import HeardAll
    from diag.session.session import Session


def add_case(parser: argparse.ArgumentParser) -> None:
    """Declare which case a recording is of, and what of it goes there."""
    add_case_and_take(
        parser,
        "measure with what this case knows of its deck, and tell which checks are answered",
        "put it into the case: the figures, and these of the answers (1,3), all, or none",
    )


def check(arguments: argparse.Namespace) -> None:
    """Raises BenchtrailError where a call names no case, no recording, or one too many."""
    needs_case(arguments)
    if arguments.case and arguments.file is None:
        raise BenchtrailError("there is no recording.", where="--case", do="Name WHAT and FILE.")
    if arguments.case and arguments.before:
        raise BenchtrailError(
            "a case keeps its own recordings from before a repair.",
            where="--before",
            do="Leave it out, or measure without --case.",
        )


class ToCase:
    """What a recording says to a case.

    Args:
        session: the case.
        found: what the recording was found to hold.
        take: which of the answers go into the case, as it was typed; None if nothing goes there.

    Raises:
        BenchtrailError: `take` asks for what there is not.
    """

    def __init__(self, session: Session, found: HeardAll, take: str | None) -> None:
        self._session = session
        self._found = found
        self._readings = [reading for heard in found.heard for reading in heard.readings]
        taken = chosen(self._readings, take, "the recording")
        self._taken = taken if found.heard else None

    def tell(self) -> None:
        """The checks that it answers, each with its number."""
        says = f"Says to {self._session.case}:" if self._readings else "Says nothing to this case."
        say()
        say(says)
        for number, reading in enumerate(self._readings, start=1):
            ask, answer, doubt = answer_of(self._session.book, reading)
            say_wrapped(f"{number}  {ask} {answer}", "  ")
            if doubt:
                say_wrapped(doubt, "     ")
        if self._taken is None and self._found.heard:
            tell("Nothing is written. Add --take with these numbers, all or none (figures only).")

    def put_down(self) -> None:
        """Write what was asked for, if anything was and there is anything."""
        if self._taken is None:
            return
        take_all(self._session, answering_only(self._found, self._taken), with_answers=True)
        tell(f"Put into {self._session.case}: the figures and {len(self._taken)} of these.")

    def as_json(self) -> dict[str, Any]:
        """The same for `--json`."""
        return {
            "case": self._session.case,
            "says": [
                {
                    "number": number,
                    "kind": "check",
                    "id": reading.check,
                    "says": " ".join(answer_of(self._session.book, reading)[:2]),
                    "answer": reading.answer,
                    "sure": reading.sure,
                    "value": reading.value,
                    "unit": reading.unit,
                    "taken": reading in (self._taken or ()),
                }
                for number, reading in enumerate(self._readings, start=1)
            ],
            "written": self._taken is not None,
        }
