"""The card of the step at hand: who asks and why, cautions, the question, and its answers."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from rich.console import Group, RenderableType
from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.events import Resize
from textual.widgets import Static

from diag.model.advice import Caution
from screens.actions import DIGITS
from screens.sheets import WITHOUT_POWER, Sheet
from screens.widgets.lines import (
    LABEL,
    LOUD,
    QUIET,
    SEVERITY_WORDS,
    caution_lines,
    keyed,
    labelled,
    spaced,
)

PLACES = {
    "outside": "",
    "who": "",
    "read": "cautions",
    "read-short": "cautions",
    "fresh": "cautions",
    "ask": "ask",
    "lines": "",
    "ask-again": "ask",
}
"""The parts of the text from above to below, and what each is drawn as."""
LOOSE = ("outside", "who", "read", "fresh", "ask", "lines")
"""Those that are shown, an empty line apart, where there is room for all."""
SURE_TOLD = {"certain": "you are certain", "fairly": "you are FAIRLY SURE only"}


class StepCard(Vertical):
    """Shows a `Sheet`. Keys are the screen's business; the card keeps what was typed and marked."""

    DEFAULT_CSS = """
    StepCard { height: 1fr; }
    StepCard #text { height: auto; padding: 0 1; }
    StepCard #says { height: auto; }
    StepCard #says Static { height: auto; margin-bottom: 1; }
    StepCard #says #lines { margin-bottom: 0; }
    StepCard #who { color: $text-muted; }
    StepCard .cautions { color: $warning; }
    StepCard.-danger .cautions { color: $error; }
    StepCard .ask { color: $accent; text-style: bold; }
    StepCard #ask-again, StepCard #read-short { display: none; }
    StepCard #more { height: 1; padding: 0 1; color: $text-muted; display: none; }
    StepCard #answers { height: auto; max-height: 75%; padding: 0 1; border-top: solid $panel; }
    StepCard #answers { border-title-color: $text-muted; border-title-align: right; }
    StepCard.-tight #text { height: 1fr; min-height: 3; }
    StepCard.-tight #says Static { margin-bottom: 0; }
    StepCard.-tight #ask, StepCard.-tight #read { display: none; }
    StepCard.-tight #ask-again { display: block; height: auto; padding: 0 1; }
    StepCard.-tight #read-short { display: block; }
    StepCard.-more #more { display: block; }
    StepCard Static.-none, StepCard.-tight Static.-none { display: none; }
    """

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self.sheet: Sheet | None = None
        self.typed = ""
        self.marked: int | None = None
        self._sure = "certain"
        self._complaint = ""
        self._deepest = 0.0
        self._told: dict[str, RenderableType] = {}
        self._parts = {place: Static(id=place, classes=PLACES[place]) for place in PLACES}
        self._answers = Static(id="answers")
        self._says = Vertical(id="says")
        self._text = VerticalScroll(id="text", can_focus=False)

    def compose(self) -> ComposeResult:
        """The text, which scrolls, and the answers, which stay.

        Where not all of it fits, the question stays with its answers, and cautions that were read
        before are only counted.
        """
        with self._text, self._says:
            yield from (part for place, part in self._parts.items() if place != "ask-again")
        yield Static("more above or below: PgUp, PgDn", id="more")
        yield self._parts["ask-again"]
        yield self._answers

    def on_mount(self) -> None:
        """Keep how far down the text has been read."""
        self.watch(self._text, "scroll_y", self._note_depth, init=False)
        self.watch(self._text, "show_vertical_scrollbar", self._tell_more, init=False)

    @property
    def cautions_seen(self) -> bool:
        """Whether the last line of the cautions has been in sight."""
        bottom = self._parts["fresh"].virtual_region.bottom
        return self._deepest + self._text.size.height >= bottom

    def show(self, sheet: Sheet, sure: str, *, known: Collection[str] = ()) -> None:
        """Draw a step.

        Args:
            sheet: what it says.
            sure: how sure the next answer is, `certain` or `fairly`.
            known: cautions that this person has read in this sitting; they take one line.
        """
        self.sheet, self.typed, self.marked, self._sure = sheet, "", None, sure
        self._complaint = ""
        self.set_class(bool(sheet.unread), "-danger")
        if sheet.unread:
            self._draw({"outside": Text(sheet.outside, LABEL), "fresh": _danger(sheet)})
            return
        read = [c for c in sheet.cautions if c.severity == "danger" or c.id in known]
        fresh = [c for c in sheet.cautions if c not in read]
        self._draw(
            {
                "outside": Text(sheet.outside, LABEL),
                "who": Text(sheet.said_by),
                "read": Group(*(caution_lines(caution, short=True) for caution in read)),
                "read-short": _counted(read),
                "fresh": Group(*(caution_lines(caution) for caution in fresh)),
                "ask": Text(sheet.title),
                "lines": Group(*(labelled(label, text) for label, text in sheet.lines)),
            }
        )

    def say(self, title: str, *parts: RenderableType) -> None:
        """Show words in place of a step."""
        self.sheet = None
        self._draw({"ask": Text(title), "lines": spaced(parts)})

    def set_sure(self, sure: str) -> None:
        """How sure the next answer is."""
        self._sure = sure
        self._draw_answers()

    def complain(self, told: str) -> None:
        """Say what is wrong with what was pressed; the next key clears it."""
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
        self._text.scroll_relative(y=way * max(1, self._text.size.height - 2), animate=False)

    def on_resize(self, event: Resize) -> None:
        """The new size may leave more or less room."""
        self._fit()

    def _draw(self, told: dict[str, RenderableType]) -> None:
        self._told = told | {"ask-again": told.get("ask", "")}
        self._deepest = 0.0
        for place, part in self._parts.items():
            words = self._told.get(place, "")
            part.update(words)
            part.set_class(_is_empty(words), "-none")
        self._text.scroll_home(animate=False)
        self._draw_answers()

    def _fit(self) -> None:
        """Answers follow the text; when there is no room for all of it, they stay at the foot."""
        width = self.size.width - 2  # the padding
        loose = [words for place, words in self._told.items() if place in LOOSE]
        text = sum(self._height(words, width) + 1 for words in loose if not _is_empty(words))
        answers = self._height(self._offered(self.sheet), width) + 1 if self.sheet else 0
        self.set_class(text - 1 + answers > self.size.height, "-tight")

    def _height(self, words: RenderableType, width: int) -> int:
        console = self.app.console
        options = console.options.update(width=max(width, 1), height=None)
        return len(console.render_lines(words, options, pad=False))

    def _note_depth(self, scroll_y: float) -> None:
        self._deepest = max(self._deepest, scroll_y)

    def _tell_more(self, scrolls: bool) -> None:
        self.set_class(scrolls, "-more")

    def _draw_answers(self) -> None:
        answers = self._answers
        answers.display = self.sheet is not None
        if self.sheet is not None:
            asks = self.sheet.kind == "check" and not self.sheet.unread
            answers.border_title = f"{SURE_TOLD[self._sure]} (f)" if asks else ""
            answers.update(self._offered(self.sheet))
        self._fit()

    def _offered(self, sheet: Sheet) -> RenderableType:
        if sheet.unread:
            return keyed([("y", Text("I have read it")), *self._wrong()])
        if sheet.kind == "remedy":
            return keyed(self._numbered(sheet))
        if sheet.unit is not None:
            typed = Text.assemble((f" {self.typed or ' '}_ ", LOUD), f" {sheet.unit}  then Enter")
            means = [("", Text(says, QUIET)) for _, says in sheet.answers]
            heard = [("p", Text("Measure it from a recording"))] if sheet.recording else []
            return keyed([(">", typed), *self._wrong(), *means, *heard, ("d", Text("Can't tell"))])
        return keyed([*self._numbered(sheet), ("0", "Can't tell")])

    def _wrong(self) -> list[tuple[str, RenderableType]]:
        return [("!", Text(self._complaint, LABEL))] if self._complaint else []

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
    """Only the danger and the way round it: the step shows when it has been read."""
    count = f" The first of {len(sheet.unread)}." if len(sheet.unread) > 1 else ""
    first = f"Read this before the next step is shown.{count}"
    way = [labelled(WITHOUT_POWER, sheet.without_power)] if sheet.without_power else []
    return spaced([Text(first, LABEL), caution_lines(sheet.unread[0]), *way])


def _counted(read: Sequence[Caution]) -> str:
    """How many cautions were read before, by how bad they are; empty if none."""
    words = [SEVERITY_WORDS[caution.severity] for caution in read]
    told = ", ".join(f"{words.count(word)} x {word}" for word in dict.fromkeys(words))
    return f"Read before: {told} (k shows all)" if told else ""


def _is_empty(words: RenderableType) -> bool:
    return not (words.renderables if isinstance(words, Group) else words)
