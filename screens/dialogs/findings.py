"""What a recording was found to hold, and what it answers, before the case takes it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, ClassVar

from rich.console import Group, RenderableType
from rich.text import Text
from textual.binding import Binding, BindingType

from diag.model.words import answer_says, chance_in_words
from diag.session.measured import kind_says
from diag.trail.words import SURE_WORDS, figure_words
from screens.dialogs.page import Page
from screens.widgets.lines import LABEL, QUIET, heading, keyed, labelled, spaced

if TYPE_CHECKING:
    from diag.cases.captured import Reading
    from diag.model.book import Book
    from diag.session.listening import Heard, HeardAll

BOTH, FIGURES = "both", "figures"
FAIRLY = "What was measured leaves room for another answer."


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
        title = heading(f"{kind_says(heard.what)}: what it answers")
        yield Group(title, *(_answer(book, each) for each in heard.readings))
    yield Group(
        heading(kind_says(heard.what)),
        *(
            labelled(
                figure.says[:1].upper() + figure.says[1:],
                figure_words(figure.value, figure.uncertainty, figure.unit),
            )
            for figure in found.figures
        ),
    )
    if found.likely:
        chances = [(chance_in_words(p), Text(says)) for says, p in found.likely]
        yield Group(heading("Chances"), keyed(chances, width=6))
    for remark in found.remarks:
        yield Text(remark)


def _refused(found: HeardAll) -> RenderableType:
    """What the recording does not allow, and why."""
    return Group(
        heading("Not from this recording"),
        *(labelled(kind_says(what), why) for what, why in found.refused),
    )


def _answer(book: Book, reading: Reading) -> RenderableType:
    check = book.checks[reading.check]
    says = f"{answer_says(check, reading.answer)}{SURE_WORDS[reading.sure]}"
    told = Text.assemble(f"{check.ask} ", (says, LABEL))
    if reading.sure == "fairly":
        told.append(f" {FAIRLY}", QUIET)
    return told
