"""What a recording was found to hold, and what it answers, before the case takes it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, ClassVar

from rich.console import Group, RenderableType
from rich.text import Text
from textual.binding import Binding, BindingType

from diag.model.words import chance_in_words
from diag.session.measured import kind_says
from screens.dialogs.page import Page
from screens.heard import NOT_FROM_THIS, answer_of, figures_of, what_it_answers
from screens.widgets.lines import LABEL, QUIET, heading, keyed, labelled, spaced

if TYPE_CHECKING:
    from diag.cases.captured import Reading
    from diag.model.book import Book
    from diag.session.listening import Heard, HeardAll

BOTH, FIGURES = "both", "figures"


class Findings(Page[str | None]):
    """Gives `BOTH` to keep figures and answers, `FIGURES` for figures alone, or None.

    Args:
        book: the book, for the words of checks.
        file: the name of the recording.
        found: what was found.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y,enter", "take", show=False),
        Binding("f", "figures", show=False),
        Binding("n", "dismiss(None)", show=False),
    ]

    def __init__(self, book: Book, file: str, found: HeardAll) -> None:
        keys = ["y or Enter: take them"] if found.heard else []
        if any(heard.readings for heard in found.heard):
            keys.append("f: figures only")
        keys.append("Esc: leave them")
        parts = [part for heard in found.heard for part in _parts(book, heard)]
        parts += [_refused(found)] if found.refused else []
        super().__init__(file, spaced(parts), "     ".join(keys))
        self._has_any = bool(found.heard)

    def action_take(self) -> None:
        """Take the figures and the answers."""
        self.dismiss(BOTH if self._has_any else None)

    def action_figures(self) -> None:
        """Take the figures alone."""
        self.dismiss(FIGURES if self._has_any else None)


def _parts(book: Book, heard: Heard) -> Iterator[RenderableType]:
    found = heard.found
    if heard.readings:
        title = heading(what_it_answers(heard.what))
        yield Group(title, *(_answer(book, each) for each in heard.readings))
    yield Group(
        heading(kind_says(heard.what)),
        *(labelled(says, words) for says, words in figures_of(found)),
    )
    if found.likely:
        chances = [(chance_in_words(p), Text(says)) for says, p in found.likely]
        yield Group(heading("Chances"), keyed(chances, width=6))
    for remark in found.remarks:
        yield Text(remark)


def _refused(found: HeardAll) -> RenderableType:
    """What the recording does not allow, and why."""
    return Group(
        heading(NOT_FROM_THIS),
        *(labelled(kind_says(what), why) for what, why in found.refused),
    )


def _answer(book: Book, reading: Reading) -> RenderableType:
    ask, says, doubt = answer_of(book, reading)
    told = Text.assemble(f"{ask} ", (says, LABEL))
    return told.append(f" {doubt}", QUIET) if doubt else told
