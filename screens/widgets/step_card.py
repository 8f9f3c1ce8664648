"""The card of the step at hand: who asks and why, cautions, the question, and its answers."""

from __future__ import annotations

from collections.abc import Collection

from rich.console import Group, RenderableType
from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.events import Resize
from textual.widgets import Static

from screens.actions import DIGITS
from screens.sheets import Sheet
from screens.widgets.lines import LABEL, LOUD, QUIET, caution_lines, keyed, labelled, spaced

SURE_TOLD = {"certain": "You are certain", "fairly": "You are FAIRLY SURE only"}


class StepCard(Vertical):
    """Shows a `Sheet`. Keys are the screen's business; the card keeps what was typed and marked."""

    DEFAULT_CSS = """
    StepCard { height: 1fr; }
    StepCard #text { height: auto; scrollbar-size-vertical: 1; padding: 0 1; }
    StepCard.-tight #text { height: 1fr; }
    StepCard #answers { height: auto; max-height: 60%; padding: 0 1; border-top: solid $panel; }
    StepCard #more { height: 1; padding: 0 1; color: $accent; display: none; }
    StepCard.-more #more { display: block; }
    """

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self.sheet: Sheet | None = None
        self.typed = ""
        self.marked: int | None = None
        self._known: set[str] = set()
        self._sure = "certain"
        self._complaint = ""

    def compose(self) -> ComposeResult:
        """The text, which scrolls, and the answers, which stay."""
        with VerticalScroll(id="text", can_focus=False):
            yield Static(id="says")
        yield Static("more below: PgDn", id="more")
        yield Static(id="answers")

    def on_mount(self) -> None:
        """Notice whenever there is more to read than fits."""
        self.watch(self.query_one("#text"), "scroll_y", self._tell_more, init=False)
        self.watch(self.query_one("#text"), "virtual_size", self._tell_more, init=False)

    def show(self, sheet: Sheet, sure: str, *, known: Collection[str] = ()) -> None:
        """Draw a step.

        Args:
            sheet: what it says.
            sure: how sure the next answer is, `certain` or `fairly`.
            known: cautions that this person has read in this sitting; they take one line.
        """
        self.sheet, self.typed, self.marked, self._sure = sheet, "", None, sure
        self._complaint = ""
        self._known = set(known)
        self._draw(_danger(sheet) if sheet.unread else self._text(sheet))

    def say(self, *parts: RenderableType) -> None:
        """Show words in place of a step."""
        self.sheet = None
        self._draw(spaced(parts))

    def set_sure(self, sure: str) -> None:
        """How sure the next answer is."""
        self._sure = sure
        self._draw_answers()

    def complain(self, told: str) -> None:
        """Say what is wrong with what was typed; the next key clears it."""
        self._complaint = told
        self._draw_answers()

    def type_key(self, key: str) -> None:
        """Take one sign of a number, or take the last one back."""
        self._complaint = ""
        signs = {"minus": "-", "plus": "+", "full_stop": ".", "comma": ","}
        if key == "backspace":
            self.typed = self.typed[:-1]
        elif len(self.typed) < 12:
            self.typed += signs.get(key, key)
        self._draw_answers()

    def mark(self, way: int) -> None:
        """Move the mark over the answers."""
        if self.sheet is None or self.sheet.unit is not None or self.sheet.unread:
            return
        last = len(self.sheet.answers) - 1
        at = (-1 if way > 0 else last + 1) if self.marked is None else self.marked
        self.marked = min(max(at + way, 0), last)
        self._draw_answers()

    def page(self, way: int) -> None:
        """Scroll the text by most of its height."""
        text = self.query_one("#text", VerticalScroll)
        text.scroll_relative(y=way * max(1, text.size.height - 2), animate=False)

    def _draw(self, text: RenderableType) -> None:
        self.query_one("#says", Static).update(text)
        self.query_one("#text", VerticalScroll).scroll_home(animate=False)
        self._draw_answers()
        self.call_after_refresh(self._tell_more)

    def on_resize(self, event: Resize) -> None:
        """The new size may leave more or less room."""
        self.call_after_refresh(self._tell_more)

    def _tell_more(self) -> None:
        """Let the answers follow the text, or stay at the foot when the text is too long."""
        text = self.query_one("#text", VerticalScroll)
        room = self.size.height - self.query_one("#answers").outer_size.height
        self.set_class(self.query_one("#says").outer_size.height > room, "-tight")
        self.set_class(text.max_scroll_y - text.scroll_y >= 1, "-more")

    def _text(self, sheet: Sheet) -> RenderableType:
        parts: list[RenderableType] = [Text(f"{sheet.speaker}: {sheet.why}", QUIET)]
        parts += [
            caution_lines(caution, short=caution.id in self._known or caution.severity == "danger")
            for caution in sheet.cautions
        ]
        parts.append(Text(sheet.title, LABEL))
        parts.append(Group(*(labelled(label, text) for label, text in sheet.lines)))
        return spaced(parts)

    def _draw_answers(self) -> None:
        answers = self.query_one("#answers", Static)
        answers.display = self.sheet is not None
        if self.sheet is not None:
            answers.update(self._answers(self.sheet))

    def _answers(self, sheet: Sheet) -> RenderableType:
        if sheet.unread:
            return keyed([("y", Text("I have read it"))])
        if sheet.kind == "remedy":
            return keyed(self._numbered(sheet))
        sure = Text(f"{SURE_TOLD[self._sure]} (f changes it)", QUIET)
        if sheet.unit is not None:
            typed = Text.assemble((f" {self.typed or ' '}_ ", LOUD), f" {sheet.unit}  then Enter")
            means = [("", Text(says, QUIET)) for _, says in sheet.answers]
            wrong = [("!", Text(self._complaint, LABEL))] if self._complaint else []
            return keyed([(">", typed), *wrong, *means, ("d", "Can't tell"), ("", sure)])
        return keyed([*self._numbered(sheet), ("0", "Can't tell"), ("", sure)])

    def _numbered(self, sheet: Sheet) -> list[tuple[str, RenderableType]]:
        rows: list[tuple[str, RenderableType]] = []
        for number, (_, says) in enumerate(sheet.answers):
            key = DIGITS[number] if number < len(DIGITS) else " "
            if number == self.marked:
                rows.append((f"{key}>", Text(says, LOUD)))
            else:
                rows.append((key, Text(says)))
        return rows


def _danger(sheet: Sheet) -> RenderableType:
    """Only the danger: the step shows when it has been read."""
    count = f" The first of {len(sheet.unread)}." if len(sheet.unread) > 1 else ""
    first = f"Read this before the next step is shown.{count}"
    return spaced([Text(first, LABEL), caution_lines(sheet.unread[0])])
