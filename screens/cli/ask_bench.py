"""The bench by plain prompts: one step after the other, each saved before the next is asked."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from diag.errors import BenchtrailError
from diag.planning.access import closing_order
from diag.planning.next_step import NextStep
from diag.session.session import Session
from screens.cli.ask_text import (
    HELP,
    show_causes,
    show_cautions,
    show_check,
    show_detail,
    show_remedy,
    show_state,
)
from screens.cli.case import ENDINGS, file_name
from screens.cli.prompts import Prompts, read_number

OTHERS = 9
"""How many other steps are listed."""


class Bench:
    """Works through a case until it is left."""

    def __init__(self, session: Session, prompts: Prompts) -> None:
        self.session = session
        self.prompts = prompts
        self._chosen: NextStep | None = None
        self._commands: dict[str, Callable[[], object]] = {
            "w": lambda: show_causes(self.prompts, self.session.snapshot),
            "a": self._another,
            "m": self._remedies,
            "l": self._layers,
            "u": self.session.undo,
            "r": self.session.redo,
            "n": self._note,
            "x": self._export,
            "?": lambda: self.prompts.say(HELP),
        }

    def work(self) -> None:
        """Ask step by step; an error is told and the step asked again."""
        self.prompts.say("? explains what can be typed.")
        going = True
        while going:
            try:
                going = self._step()
            except BenchtrailError as error:
                self.prompts.say(str(error))

    def _step(self) -> bool:
        snapshot = self.session.snapshot
        self.prompts.say("")
        show_state(self.prompts, snapshot)
        step = self._chosen or snapshot.next_step
        if step is None:
            return self._do(self.prompts.text("Nothing is left to do. q stops."), None)
        self.prompts.say(f"[{step.by}] {step.why}")
        view = self.session.step_view(step.kind, step.id)
        show_cautions(self.prompts, view)
        if view.unread:
            typed = self.prompts.text("Type y when you have read this and made it safe.")
            if typed.lower() != "y":
                return self._do(typed, step)
            for caution in view.unread:
                self.session.acknowledge(caution.id, step.id)
        if not self._ready(step):
            return self._do(self.prompts.text("Type o when that is done."), step)
        return self._ask(step)

    def _ready(self, step: NextStep) -> bool:
        """Whether the deck is as open, or for the final test as closed, as the step needs it."""
        book, open_layers = self.session.book, self.session.snapshot.state.open_layers
        if step.by == "final test" and open_layers:
            for name in closing_order(book, open_layers):
                layer = book.layers[name]
                self.prompts.say(f"Close: {layer.says or name} ({layer.close_minutes:g} min)")
                for look in layer.before_closing:
                    self.prompts.say(f"first: {look}", "  ")
            return False
        for name in step.access.opens:
            layer = book.layers[name]
            self.prompts.say(f"Open: {layer.says or name} ({layer.open_minutes:g} min) {layer.how}")
        return not step.access.opens

    def _ask(self, step: NextStep) -> bool:
        book = self.session.book
        if step.kind == "remedy":
            show_remedy(self.prompts, book.remedies[step.id])
            return self._do(self.prompts.text("d: done   g: given up   s: later"), step)
        show_check(self.prompts, book.checks[step.id])
        return self._do(self.prompts.text(""), step)

    def _do(self, typed: str, step: NextStep | None) -> bool:
        """Carry out what was typed; False ends the work."""
        word = typed.strip().lower()
        if word == "q":
            return False
        if word in self._commands:
            self._commands[word]()
        elif word.startswith("c ") and word[2:].strip().isdecimal():
            self._cause(int(word[2:]))
        elif step is None or not self._answer(word, step):
            self.prompts.say(f"'{typed}' does not fit here. ? explains what can be typed.")
        else:
            self._chosen = None
        return True

    def _answer(self, word: str, step: NextStep) -> bool:
        """Take it as an answer to the step, if it can be one."""
        if word == "o":
            return self._open_or_close(step)
        if step.kind == "remedy":
            if word not in ("d", "g", "s"):
                return False
            self.session.mend(step.id, "done" if word == "d" else "given_up")
            return True
        if word == "s":
            self.session.put_aside(step.id, "skipped")
            return True
        check = self.session.book.checks[step.id]
        if word == "t" or (word == "0" and check.measures is None):
            self.session.put_aside(step.id, "cant_tell")
            return True
        sure = "fairly" if word.endswith("f") else "certain"
        number = word.removesuffix("f")
        if check.measures is not None:
            value = read_number(number, check.measures.unit.lower())
            if value is not None:
                self.session.measure(step.id, value, "fairly" if sure == "fairly" else "certain")
            return value is not None
        answers = list(check.answers)
        if not (number.isdecimal() and 1 <= int(number) <= len(answers)):
            return False
        answer = answers[int(number) - 1]
        self.session.answer(step.id, answer, "fairly" if sure == "fairly" else "certain")
        return True

    def _open_or_close(self, step: NextStep) -> bool:
        if step.by == "final test":
            self.session.close(self.session.book.outside)
        for layer in step.access.opens:
            self.session.open(layer)
        self._chosen = None
        return True

    def _another(self) -> None:
        found = self.session.snapshot.assessment
        steps = found.steps[1 : OTHERS + 1] if found else ()
        place = self.prompts.choice(
            "Another step:", [f"{self._says(step)} {step.why}" for step in steps], "none of them"
        )
        self._chosen = None if place is None else steps[place]

    def _says(self, step: NextStep) -> str:
        book = self.session.book
        return book.checks[step.id].ask if step.kind == "check" else book.remedies[step.id].says

    def _remedies(self) -> None:
        found = self.session.snapshot.assessment
        steps = [s for s in (found.steps if found else ()) if s.kind == "remedy"][:OTHERS]
        place = self.prompts.choice(
            "Remedies:", [f"{self._says(step)} {step.why}" for step in steps], "none of them"
        )
        self._chosen = None if place is None else steps[place]

    def _cause(self, number: int) -> None:
        found = self.session.snapshot.assessment
        if found and 1 <= number <= len(found.ranking):
            show_detail(self.prompts, self.session.cause(found.ranking[number - 1].id))

    def _layers(self) -> None:
        book, open_layers = self.session.book, self.session.snapshot.state.open_layers
        names = [name for name in book.layers if name != book.outside]
        lines = [
            f"{book.layers[name].says or name}: {'open' if name in open_layers else 'closed'}"
            for name in names
        ]
        place = self.prompts.choice("Which layer was opened or closed?", lines, "none of them")
        if place is not None:
            turn: Any = self.session.close if names[place] in open_layers else self.session.open
            turn(names[place])

    def _note(self) -> None:
        words = self.prompts.text("Your note:")
        if words:
            self.session.note(words)

    def _export(self) -> None:
        from diag.trail.export import write

        forms = [form for form in ENDINGS if form != "case"]
        place = self.prompts.choice("Which form?", forms, "none of them")
        if place is None:
            return
        offered = file_name(self.session.snapshot.state.name, forms[place])
        typed = self.prompts.text(f"Write it where? Empty: {offered}")
        write(self.session.tell_trail(), forms[place], Path(typed or offered).expanduser())
        self.prompts.say(f"Written to {typed or offered}.")
