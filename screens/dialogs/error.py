"""What went wrong, where, and what to do."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.text import Text

from diag.errors import BenchtrailError, KnowledgeError
from screens.dialogs.page import Reading
from screens.widgets.lines import LABEL, keyed, labelled, spaced

MOST_PROBLEMS = 40
"""More than anybody mends before reading the book again."""


class ErrorDialog(Reading):
    """Tells an error of the engine; nothing on disk was lost by it."""

    def __init__(self, error: BenchtrailError) -> None:
        super().__init__("! That did not work", told(error))


def told(error: BenchtrailError) -> RenderableType:
    """An error in full; of a book, every problem with file and line."""
    if isinstance(error, KnowledgeError):
        shown = error.problems[:MOST_PROBLEMS]
        rows = [(f"{p.path}:{p.line}", Text(f"{p.found} {p.do}".rstrip())) for p in shown]
        more = len(error.problems) - len(shown)
        return Group(
            Text(f"{error.summary}: {len(error.problems)} problem(s) in the files."),
            *(Group(Text(), Text(place, style=LABEL), text) for place, text in rows),
            *([Text(f"... and {more} more; `benchtrail knowledge check` lists all.")] * bool(more)),
        )
    found = Text(error.found[:1].upper() + error.found[1:])
    parts: list[RenderableType] = [found]
    if error.do:
        parts.append(labelled("What to do", error.do))
    if error.where:
        parts.append(keyed([("Where:", Text(error.where))]))
    return spaced(parts)
