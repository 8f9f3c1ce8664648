"""`benchtrail work ... --case ID`: what a result says to a case, and putting it there."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from diag.errors import BenchtrailError
from screens.cli.output import say, say_wrapped, tell
from screens.cli.places import add_knowledge, shelf_of
from screens.cli.take import add_case_and_take, chosen, needs_case

if TYPE_CHECKING:
    from diag.session.session import Session
    from diag.session.worked import Meaning
    from diag.workshop.told import Renewed, Told


def add_case(parser: argparse.ArgumentParser) -> None:
    """Declare which case a result is for, and what of it goes there."""
    add_case_and_take(
        parser,
        "tell what the result says to this case",
        "put it into the case: a note, and these of what it says there (1,3), all, or none",
    )
    add_knowledge(parser)


def check(arguments: argparse.Namespace) -> None:
    """Raises BenchtrailError where the call would put a result into no case, or none into one."""
    needs_case(arguments)
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
