"""The workshop: every bench sum and every job on a list, found by words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from screens.actions import bindings
from screens.search_screen import SearchScreen
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import LABEL, QUIET
from screens.work_form import JobForm, SumForm

if TYPE_CHECKING:
    from diag.session.session import Session
    from diag.workshop import declaration
    from diag.workshop.declaration import Sum
    from diag.workshop.job import Job

NONE = "No sum holds these words. Esc shows all."


class WorkshopScreen(SearchScreen):
    """The list of sums.

    Args:
        session: the case that a result can be noted in; None from the shelf.
    """

    CSS_PATH = "workshop.tcss"
    PLACE = "workshop"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = LIST = "#sums"

    def __init__(self, session: Session | None = None) -> None:
        super().__init__()
        self._session = session
        self._shown: tuple[Sum | Job, ...] = ()

    def compose(self) -> ComposeResult:
        """Title, search, sums, keys."""
        yield Static(Text("Workshop   sums for the bench", LABEL), id="case")
        yield Input(placeholder="words: belt, speed, ripple; Enter when found", id="search")
        yield OptionList(id="sums")
        yield Static(NONE, id="none")
        yield KeyBar(self.PLACE, self.offers, lines=1)

    def offers(self, action: str) -> bool:
        """Nothing is opened where nothing was found."""
        return bool(self._shown) or action != "open"

    def action_open(self) -> None:
        """Work the marked one."""
        from diag.workshop.job import Job

        at = self.listed.highlighted
        if at is None or not self._shown:
            return
        what = self._shown[at]
        self.app.push_screen(
            JobForm(what, self._session) if isinstance(what, Job) else SumForm(what, self._session)
        )

    def draw(self) -> None:
        """Draw what was found."""
        self._shown = found(self.search.value)
        self.listed.clear_options()
        self.listed.add_options(Option(_line(one)) for one in self._shown)
        self.listed.display = bool(self._shown)
        self.query_one("#none").display = not self._shown
        if self._shown:
            self.listed.highlighted = 0
        self.refresh_keys()


def found(words: str) -> tuple[Sum | Job, ...]:
    """The sums and jobs that hold every word in their names, titles, inputs or outputs."""
    from diag.workshop.catalogue import SUMS
    from diag.workshop.jobs import JOBS

    texts: list[tuple[Sum | Job, str]] = [
        (one, f"{one.name} {one.title} {_says(one.inputs)} {_says(one.outputs)}")
        for one in SUMS.values()
    ]
    texts += [
        (job, f"{job.name} {job.title} {job.list_says} {_says(job.inputs)}")
        for job in JOBS.values()
    ]
    wanted = words.casefold().split()
    return tuple(one for one, text in texts if all(word in text.casefold() for word in wanted))


def _says(figures: Sequence[declaration.Input] | Sequence[declaration.Output]) -> str:
    return " ".join(one.says for one in figures)


def _line(one: Sum | Job) -> RenderableType:
    line = Table.grid(padding=(0, 1), expand=True)
    line.add_column(ratio=1, no_wrap=True, overflow="ellipsis")
    line.add_column(justify="right", no_wrap=True)
    line.add_row(Text(one.title), Text(one.name, QUIET))
    return line
