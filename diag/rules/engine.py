"""The one module that knows durable-rules: clauses and messages in, firings out.

What the library needs from whoever uses it (measured on 2.0.28):

- constructing its Host starts two timer threads, unless `_run` does nothing
- asserting a message that no pattern takes, or one asserted before, raises
- deleting the state of an evaluation in a rule set where no action has ever run kills the process
- an exception inside an action is swallowed
- a number with an exponent is refused, and the next evaluation then kills the process
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from itertools import count
from threading import Lock
from typing import Any, NamedTuple

from durable import engine as durable

from diag.errors import RuleError

Pattern = Mapping[str, Any]
"""What one message must be, as durable-rules writes it."""
Message = Mapping[str, str | int]

RULES = "case"
PLAIN = re.compile(r"[\w.+-]*", re.ASCII)
BEGIN: Message = {"begin": 1}


class Firing(NamedTuple):
    """A clause that holds: its number, and the numbers of the messages that its patterns took."""

    clause: int
    messages: tuple[int, ...]


Tell = Callable[[Sequence[Message]], list[Firing]]


class _Host(durable.Host):  # type: ignore[misc]  # the library ships no types
    """A host without the timer threads: nothing here waits for time."""

    def _run(self) -> None:
        pass


def alias(position: int) -> str:
    """The name by which later patterns of a clause refer to the message at a position."""
    return f"m{position}"


class Engine:
    """Finds every way in which messages satisfy clauses. Safe to share between threads.

    A clause is a sequence of patterns that different messages must satisfy together.
    """

    def __init__(self, clauses: Sequence[Sequence[Pattern]]) -> None:
        self._lock = Lock()
        self._evaluations = count()
        self._fired: list[Firing] = []
        rules = {f"c{number}": self._rule(number, each) for number, each in enumerate(clauses)}
        # Every evaluation fires this one, so that its state can be deleted.
        rules["begin"] = {"all": [{alias(0): BEGIN}], "run": lambda _: None}
        # Takes every message and never fires, so that no message is refused.
        anything = [{alias(0): {"$ex": {"id": 1}}}, {alias(1): {"never": 1}}]
        rules["any"] = {"all": anything, "run": lambda _: None}
        with _told_as_rule_error("the rules of the book"):
            self._host = _Host()
            self._host.register_rulesets({RULES: rules})

    def _rule(self, number: int, clause: Sequence[Pattern]) -> dict[str, Any]:
        names = [alias(position) for position in range(len(clause))]

        def note(context: Any) -> None:
            taken = tuple(context._m[name]["id"] for name in names)
            self._fired.append(Firing(number, taken))

        patterns = [dict([pair]) for pair in zip(names, clause, strict=True)]
        return {"all": patterns, "run": note}

    @contextmanager
    def evaluation(self) -> Iterator[Tell]:
        """A fresh evaluation: tell it messages, as often as needed, and get what newly fires.

        Messages are numbered from 0 in the order in which the evaluation is told them; firings
        come in the order of clauses and of messages.

        Raises:
            RuleError: the library refused a message.
        """
        with self._lock:
            numbers = count()
            sid = f"e{next(self._evaluations)}"
            with _told_as_rule_error("the facts of the case"):
                self._host.assert_fact(RULES, {"sid": sid, "id": "begin", **BEGIN})
            try:
                yield lambda messages: self._tell(sid, numbers, messages)
            finally:
                self._host.delete_state(RULES, sid)

    def _tell(self, sid: str, numbers: count[int], messages: Sequence[Message]) -> list[Firing]:
        self._fired.clear()
        for message in messages:
            _check(message)
        if messages:
            told = [{"sid": sid, "id": next(numbers), **message} for message in messages]
            with _told_as_rule_error("the facts of the case"):
                self._host.assert_facts(RULES, told)
        return sorted(self._fired)


def _check(message: Mapping[str, object]) -> None:
    """Let nothing reach the library that its own reader of JSON could stumble over."""
    for name, value in message.items():
        if not (isinstance(value, int) or (isinstance(value, str) and PLAIN.fullmatch(value))):
            raise RuleError(
                f"The rule engine can't take {value!r} as {name!r}.",
                where="the facts of the case",
                do="Use whole numbers, and words of letters, digits, _ . + and -.",
            )


@contextmanager
def _told_as_rule_error(where: str) -> Iterator[None]:
    """Tell whatever the library raises as a `RuleError`: it has no family of its own errors."""
    try:
        yield
    except Exception as error:
        raise RuleError(
            f"The rule engine stopped: {error}",
            where=where,
            do="Look for the rule that was changed last; `benchtrail knowledge check` may help.",
        ) from error
