"""`benchtrail work ... --case ID`: what a result says to a case, and putting it there."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, TypeVar

from diag.errors import BenchtrailError
from screens.cli.output import say, say_wrapped, tell
from screens.cli.places import add_knowledge, add_store, shelf_of

if TYPE_CHECKING:
    from diag.session.session import Session
    from diag.session.worked import Meaning
    from diag.workshop.told import Renewed, Told

NONE, ALL = "none", "all"
Each = TypeVar("Each")


def add_case(parser: argparse.ArgumentParser) -> None:
    """Declare which case a result is for, and what of it goes there."""
    parser.add_argument("--case", metavar="ID", help="tell what the result says to this case")
    parser.add_argument(
        "--take",
        metavar="NUMBERS",
        help="put it into the case: a note, and these of what it says there (1,3), all, or none",
    )
    add_store(parser)
    add_knowledge(parser)


def check(arguments: argparse.Namespace) -> None:
    """Raises BenchtrailError where the call would put a result into no case, or none into one."""
    if arguments.take is not None and not arguments.case:
        raise BenchtrailError("no case is named.", where="--take", do="Name one with --case ID.")
    if arguments.case and not arguments.given:
        raise BenchtrailError("there is no result.", where="--case", do="Give inputs as KEY=VALUE.")


class CaseOf:
    """What a result says to the case that a call names.

    Args:
        arguments: of the call.
        told: the figures of the result.
        renewed: the capacitors that it changes.

    Raises:
        BenchtrailError: there is no such case, or `--take` asks for what there is not.
    """

    def __init__(
        self, arguments: argparse.Namespace, told: Sequence[Told], renewed: Sequence[Renewed] = ()
    ) -> None:
        from diag.session.worked import meanings, remarks_on

        self._session: Session = shelf_of(arguments).reopen(arguments.case)
        self._found = meanings(self._session.snapshot, told, renewed)
        self._remarks = remarks_on(self._session.snapshot, renewed)
        self._taken = chosen(self._found, arguments.take, "the result")

    def tell(self) -> None:
        """The dangers of its work, each once, then each meaning with its number."""
        say()
        say(f"Says to {self._session.case}:" if self._found else "Says nothing to this case.")
        dangers = [danger for each in self._found for danger in self._dangers(each)]
        for danger in dict.fromkeys(dangers):
            say_wrapped(f"Caution: {danger}", "  ")
        for number, each in enumerate(self._found, start=1):
            say_wrapped(f"{number}  {each.says}", "  ")
            say_wrapped(each.detail, "     ")
        for remark in self._remarks:
            say_wrapped(f"! {remark}")
        if self._taken is None:
            tell("Nothing is written. Add --take with these numbers, all or none (a note only).")

    def put_down(self, note: str) -> None:
        """Write what was asked for, if anything was."""
        if self._taken is None:
            return
        from diag.session.worked import put_down

        put_down(self._session, note, self._taken)
        tell(f"Put into {self._session.case}: a note and {len(self._taken)} of these.")

    def as_json(self) -> dict[str, Any]:
        """The same for `--json`."""
        return {
            "case": self._session.case,
            "says": [
                {
                    "number": number,
                    "kind": each.kind,
                    "id": each.id,
                    "says": each.says,
                    "detail": each.detail,
                    "cautions": list(self._dangers(each)),
                    "taken": each in (self._taken or ()),
                }
                for number, each in enumerate(self._found, start=1)
            ],
            "remarks": list(self._remarks),
            "written": self._taken is not None,
        }

    def _dangers(self, each: Meaning) -> tuple[str, ...]:
        if each.kind == "facts":
            return ()
        cautions = self._session.step_view(each.kind, each.id).cautions
        return tuple(f"{c.says} {c.do}".strip() for c in cautions if c.severity == "danger")


def chosen(found: Sequence[Each], typed: str | None, what: str) -> tuple[Each, ...] | None:
    """What `--take` names of what was found; None if it isn't there.

    Raises:
        BenchtrailError: it asks for what there is not; `what` is the thing that says it.
    """
    if typed is None:
        return None
    if typed in (NONE, ALL):
        return tuple(found) if typed == ALL else ()
    words = [word for word in typed.replace(",", " ").split() if word]
    known = {str(number): each for number, each in enumerate(found, start=1)}
    wrong = next((word for word in words if word not in known), None)
    if wrong is not None or not words:
        span = f"1 to {len(found)}" if found else "no number"
        raise BenchtrailError(
            f"'{wrong or typed}' is no number of what {what} says.",
            where="--take",
            do=f"Give {span}, all, or none.",
        )
    return tuple(known[word] for word in dict.fromkeys(words))
