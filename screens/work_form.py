"""One sum as a form with its result beside what is typed, or one job with its list."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from rich.console import RenderableType
from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Input, Static

from diag.errors import BenchtrailError
from diag.model.quantity import figure, shown
from screens.actions import bindings
from screens.engine_screen import EngineScreen
from screens.export import ask_path, proposed
from screens.into_case import case_part, found_for, put_into_case
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import LABEL, LOUD, QUIET, heading, keyed, labelled, spaced
from screens.widgets.outline import Outline

if TYPE_CHECKING:
    from diag.session.session import Session
    from diag.session.worked import Meaning
    from diag.workshop import declaration
    from diag.workshop.declaration import Sum
    from diag.workshop.job import Job, Outcome, Table
    from diag.workshop.sheet import Sheet
    from diag.workshop.work import Result


class WorkForm(EngineScreen):
    """What a sum and a job have in common.

    Args:
        what: the sum or job.
        session: the case that its result can be noted in; None from the shelf.
    """

    CSS_PATH = "workshop.tcss"
    PLACE = "form"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = "Input"

    def __init__(self, what: Sum | Job, session: Session | None) -> None:
        super().__init__()
        self._what = what
        self._session = session

    def compose(self) -> ComposeResult:
        """Title, caution, the form with its result, a drawing, keys."""
        what = self._what
        yield Static(Text(what.title, LABEL), id="case")
        if what.caution:
            yield Static(Text.assemble((" CAUTION ", LOUD), " ", what.caution), id="caution")
        with Horizontal(id="sides"):
            with VerticalScroll(id="told", can_focus=False):
                for key, label, hint, unit in self.fields():
                    with Horizontal(classes="field"):
                        yield Static(Text(label), classes="label")
                        yield Input(placeholder=hint, id=f"field-{key}", compact=True)
                        yield Static(Text(unit, QUIET), classes="unit")
                yield Static(id="result")
                basis = f"{what.basis} Source: {what.source}."
                yield Static(Text(basis, QUIET), id="basis")
            with Vertical(id="picture"):
                yield Static(id="of")
                yield Outline(id="drawn")
        yield KeyBar(self.PLACE, self.offers, lines=1)

    def on_mount(self) -> None:
        """Say what is still to give."""
        self.query_one("#picture").display = False
        self.draw()

    def fields(self) -> list[tuple[str, str, str, str]]:
        """Key, label, hint and unit of each line of the form."""
        return [(one.key, one.says, hint(one), one.unit_symbol) for one in self._what.inputs]

    def draw(self) -> None:
        """Show what has come of what is typed."""
        raise NotImplementedError

    def draw_case(self) -> None:
        """Show the same after the case has gone on."""
        raise NotImplementedError

    def note_text(self) -> str:
        """The result in one line; empty while there is none."""
        raise NotImplementedError

    def meanings(self) -> tuple[Meaning, ...]:
        """What the result can say to the case."""
        raise NotImplementedError

    def offers(self, action: str) -> bool:
        """A note only into a case, and only of a result; a file only of a list."""
        match action:
            case "note":
                return self._session is not None and bool(self.note_text())
            case "write":
                return False
        return True

    def action_next(self) -> None:
        """On to the next line."""
        self.action_field(1)

    def action_field(self, way: int) -> None:
        """To the line above or below; after the last comes the first."""
        lines = list(self.query(Input))
        at = next((n for n, line in enumerate(lines) if line.has_focus), 0)
        lines[(at + way) % len(lines)].focus()

    def action_example(self) -> None:
        """Fill in the worked example."""
        given = self.example()
        for key, _, _, _ in self.fields():
            self.query_one(f"#field-{key}", Input).value = given.get(key, "")
        self.draw()

    def example(self) -> dict[str, str]:
        """What the example gives, by field."""
        raise NotImplementedError

    def action_note(self) -> None:
        """Put the result into the case."""
        self.start(self._note)

    def action_write(self) -> None:
        """Write the result to a file."""

    def action_page(self, way: int) -> None:
        """Scroll."""
        told = self.query_one("#told", VerticalScroll)
        told.scroll_relative(y=way * max(1, told.size.height - 2), animate=False)

    def action_back(self) -> None:
        """Back to the list."""
        self.dismiss()

    @on(Input.Changed)
    def changed(self) -> None:
        """What is typed counts at once."""
        self.draw()

    @on(Input.Submitted)
    def submitted(self) -> None:
        """Enter in a line."""
        self.action_next()

    @property
    def typed(self) -> dict[str, str]:
        """What stands in the lines, without those that are empty."""
        texts = {key: self.query_one(f"#field-{key}", Input).value for key, *_ in self.fields()}
        return {key: text for key, text in texts.items() if text.strip()}

    def say(self, found: RenderableType) -> None:
        """Show a result or what stands in its way."""
        self.query_one("#result", Static).update(found)
        self.refresh_keys()

    async def _note(self) -> None:
        session, text = self._session, self.note_text()
        if session is None:
            return
        if await put_into_case(self, session, text, self.meanings()):
            self.draw_case()


class SumForm(WorkForm):
    """A sum; its result follows every key.

    Args:
        a_sum: which.
        session: the case that its result can be noted in; None from the shelf.
    """

    def __init__(self, a_sum: Sum, session: Session | None) -> None:
        super().__init__(a_sum, session)
        self._sum = a_sum
        self._result: Result | None = None

    def example(self) -> dict[str, str]:
        """The one that its source has."""
        return dict(self._sum.example.given)

    def draw(self) -> None:
        """The result, or what is missing or wrong; the drawing is of the example till then."""
        from diag.workshop.work import work

        typed, self._result = self.typed, None
        missing = [one for one in self._sum.inputs if one.default is None and one.key not in typed]
        try:
            if missing:
                # What is typed already is checked all the same.
                filled = {one.key: self._sum.example.given[one.key] for one in missing}
                work(self._sum, {**typed, **filled})
                self.say(labelled("Still to give", "; ".join(one.says for one in missing)))
            else:
                self._result = work(self._sum, typed)
                found = self.meanings()
                rows = keyed(result_rows(self._result))
                self.say(spaced([rows, *case_part(self._session, found)]))
        except BenchtrailError as error:
            self.say(labelled("No result", f"{error.where}: {error.found} {error.do}"))
        self._draw_outline()

    def draw_case(self) -> None:
        """The case may have it by now."""
        self.draw()

    def meanings(self) -> tuple[Meaning, ...]:
        """Answers to checks, and facts of the deck."""
        return found_for(self._session, self._result.tells) if self._result else ()

    def note_text(self) -> str:
        """Title, what was given, what it came to, and the source."""
        from diag.workshop.work import note_of

        return note_of(self._result) if self._result else ""

    def _draw_outline(self) -> None:
        from diag.workshop.work import work

        outline = self._sum.outline
        self.query_one("#picture").display = outline is not None
        if outline is None:
            return
        of = self._result or work(self._sum, self._sum.example.given)
        self.query_one(Outline).show(outline(**{one.argument: v for one, v in of.taken}))
        title = "To scale" if self._result else "To scale, with the figures of the example (F3)"
        self.query_one("#of", Static).update(Text(title, QUIET))


class JobForm(WorkForm):
    """A job on a list; Enter does it.

    Args:
        job: which.
        session: the case that its answer can be noted in; None from the shelf.
    """

    def __init__(self, job: Job, session: Session | None) -> None:
        super().__init__(job, session)
        self._job = job
        self._done: tuple[Sheet, Outcome] | None = None

    def fields(self) -> list[tuple[str, str, str, str]]:
        """The file first."""
        file = (self._job.list_key, f"CSV file: {self._job.list_says}", "path of the file", "")
        return [file, *super().fields()]

    def example(self) -> dict[str, str]:
        """The figures; a file of one's own has to be named."""
        typed = self.typed
        kept = {self._job.list_key: typed.get(self._job.list_key, "")}
        return {**self._job.example_given, **kept}

    def draw(self) -> None:
        """What is typed has not been done yet."""
        self._done = None
        columns = labelled("Columns", ", ".join(self._job.headings))
        missing = "; ".join(self._missing().values())
        ready = Text("Enter does it.", LABEL)
        self.say(spaced([columns, labelled("Still to give", missing) if missing else ready]))

    def _missing(self) -> dict[str, str]:
        """What must be given and is not yet: lines without a default, and what they are."""
        typed = self.typed
        needed = {self._job.list_key: "the path of the file"}
        needed |= {one.key: one.says for one in self._job.inputs if one.default is None}
        return {key: says for key, says in needed.items() if key not in typed}

    def draw_case(self) -> None:
        """What is covered may be done by now."""
        if self._done is not None:
            self._tell(self._done[1])

    def meanings(self) -> tuple[Meaning, ...]:
        """Which thing of the list is in the deck, or which work the list amounts to."""
        if self._done is None:
            return ()
        return found_for(self._session, self._done[1].tells, self._done[1].renews)

    def note_text(self) -> str:
        """The answer; not the list."""
        from diag.workshop.job import note_of

        return note_of(self._job, self._done[1]) if self._done else ""

    def offers(self, action: str) -> bool:
        """What was done can be written out."""
        return self._done is not None if action == "write" else super().offers(action)

    def action_next(self) -> None:
        """To the line that is still to give, else do it."""
        for key in self._missing():
            self.query_one(f"#field-{key}", Input).focus()
            return
        self.start(self._work)

    def action_write(self) -> None:
        """Write what came of the list to a new one."""
        self.start(self._write)

    async def _work(self) -> None:
        from diag.workshop.job import work_file

        typed = self.typed
        path = Path(typed.pop(self._job.list_key, "")).expanduser()
        self._done = await self.ask(lambda: work_file(self._job, path, typed))
        if self._done is not None:
            self._tell(self._done[1])
            self.query_one("#told").scroll_to_widget(
                self.query_one("#result"), top=True, animate=False
            )

    def _tell(self, outcome: Outcome) -> None:
        besides = case_part(self._session, self.meanings(), outcome.renews)
        self.say(outcome_lines(outcome, besides))

    async def _write(self) -> None:
        from diag.cases.new_file import write_new_file
        from diag.workshop.sheet import as_csv

        path = await ask_path(self, proposed(self._job.name, ".csv"))
        if path is None or self._done is None:
            return
        sheet, outcome = self._done
        table = outcome.tables[0]

        def write() -> bool:
            write_new_file(path, as_csv(table.header, table.rows, sheet.separator), "list")
            return True

        if await self.ask(write):
            self.app.notify(f"Written: {path}", markup=False)


def hint(one: declaration.Input) -> str:
    """What an empty line counts as, or what it takes."""
    from diag.workshop.work import range_in_words

    return range_in_words(one) if one.default is None else f"{shown(one.default, one.unit)}"


def result_rows(result: Result) -> list[tuple[str, RenderableType]]:
    """Each value with what it is."""
    from diag.workshop.work import given_in_words

    return [(given_in_words(out, value), Text(out.says)) for out, value in result.gives]


def outcome_lines(outcome: Outcome, besides: Sequence[RenderableType] = ()) -> RenderableType:
    """The answer, its remarks, what is said besides, then the figures."""
    said = Text("\n".join(outcome.says), LABEL)
    remarks = [keyed([("!", Text(remark)) for remark in outcome.remarks])]
    tables = [part for table in outcome.tables for part in (heading(table.title), _rows(table))]
    cautions = [Text.assemble((" CAUTION ", LOUD), " ", caution) for caution in outcome.cautions]
    return spaced([*cautions, said, *(remarks if outcome.remarks else []), *besides, *tables])


def _rows(table: Table) -> RenderableType:
    """A paragraph a row, without cells that are empty."""
    from diag.workshop.job import cell_words

    rows: list[tuple[str, RenderableType]] = []
    for first, *rest in table.rows:
        cells = (cell_words(h, c) for h, c in zip(table.header[1:], rest, strict=True) if c != "")
        told = ", ".join(filter(None, cells))
        rows.append((first if isinstance(first, str) else figure(first or 0), Text(told)))
    return keyed(rows)
