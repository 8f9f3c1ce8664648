"""The bench by plain prompts: one step after the other, each saved before the next is asked."""

from __future__ import annotations

from collections.abc import Callable

from diag.errors import BenchtrailError, CaseError
from diag.model.history import Sure
from diag.session.session import Session
from diag.session.shelf import Shelf
from diag.session.snapshot import Snapshot
from diag.trail.words import event_words
from screens.cli.ask_choices import (
    choose_in_here,
    choose_remedy,
    choose_step,
    turn_layer,
    write_trail,
)
from screens.cli.ask_recording import choose_kind, choose_specification, take_recording
from screens.cli.ask_text import (
    HELP,
    Step,
    show_causes,
    show_cautions,
    show_change_of_mind,
    show_closing,
    show_detail,
    show_ending,
    show_opening,
    show_sheet,
    show_short,
    show_without_power,
)
from screens.cli.prompts import Prompts, place_of, read_number
from screens.noted import Remark, next_doubted, remarks
from screens.sheets import DONE, Kind, Sheet, sheet_of


class Bench:
    """Works through a case until it is left."""

    def __init__(self, shelf: Shelf, session: Session, prompts: Prompts) -> None:
        self.shelf = shelf
        self.session = session
        self.prompts = prompts
        self._chosen: tuple[Kind, str] | None = None
        self._noted: tuple[Remark, ...] = ()
        self._first: list[Step] = []
        self._seen = 0
        self._shown: tuple[int, Sheet | None] | None = None
        self._commands: dict[str, Callable[[], object]] = {
            "w": lambda: show_causes(self.prompts, self.session.snapshot),
            "v": lambda: self._remark(()),
            "a": lambda: self._choose(choose_step(self.prompts, self.session.snapshot)),
            "m": lambda: self._choose(choose_remedy(self.prompts, self.session.snapshot)),
            "g": self._ask_again,
            "p": self._record,
            "e": lambda: choose_specification(self.prompts, self.shelf, self.session),
            "h": self._in_here,
            "l": lambda: self._choose(turn_layer(self.prompts, self.session)),
            "u": self._undo,
            "r": self._redo,
            "n": self._note,
            "x": lambda: write_trail(self.prompts, self.session),
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
                if isinstance(error, CaseError):
                    # Another window may have gone on with the case: show what is on disk.
                    self.session.reload()

    def _step(self) -> bool:
        snapshot = self.session.snapshot
        sheet = self._at_hand(snapshot)
        if (snapshot.revision, sheet) != self._shown:
            self._shown = (snapshot.revision, sheet)
            self._card(snapshot, sheet)
        if sheet is None:
            return self._do(self.prompts.text(), None)
        if sheet.unread:
            return self._read(sheet)
        if sheet.opens or sheet.closes:
            number = ", or the number of what you do first" if self._first else ""
            typed = self.prompts.text(f"Type o when that is done{number}.")
            place = place_of(typed, len(self._first))
            if place is not None:
                self._choose(self._first[place])
                return True
            return self._do(typed, sheet, ready=False)
        return self._do(self.prompts.text(), sheet)

    def _card(self, snapshot: Snapshot, sheet: Sheet | None) -> None:
        """What there is to do; behind an unread danger only the way round it is shown."""
        self.prompts.say()
        self._news(snapshot)
        if sheet is None:
            show_ending(self.prompts, snapshot)
            return
        self.prompts.say(sheet.said_by)
        show_cautions(self.prompts, sheet.cautions)
        if sheet.unread:
            show_without_power(self.prompts, sheet)
        else:
            show_sheet(self.prompts, sheet)
            self._way(sheet)

    def _read(self, sheet: Sheet) -> bool:
        typed = self.prompts.text("Type y when you have read this and made it safe.")
        if typed.lower() != "y":
            return self._do(typed, sheet, ready=False)
        for caution in sheet.unread:
            self.session.acknowledge(caution.id, sheet.id)
        self._chosen = (sheet.kind, sheet.id)
        return True

    def _way(self, sheet: Sheet) -> None:
        """How to get the deck as far open, or as well closed, as the step needs it."""
        book, self._first = self.session.book, []
        for layer in sheet.opens:
            show_opening(self.prompts, book.layers[layer])
        if sheet.closes:
            self._first = show_closing(self.prompts, self.session.snapshot, book.outside)

    def _at_hand(self, snapshot: Snapshot) -> Sheet | None:
        """The step that the person chose, or else the best."""
        step = snapshot.next_step
        if self._chosen is not None and (step is None or step.id != self._chosen[1]):
            return sheet_of(self.session, *self._chosen, None)
        return sheet_of(self.session, step.kind, step.id, step) if step else None

    def _news(self, snapshot: Snapshot) -> None:
        """What has changed since it was last said."""
        if snapshot.revision != self._seen:
            show_short(self.prompts, snapshot)
            self._seen = snapshot.revision
        self._remark(self._noted)

    def _remark(self, known: tuple[Remark, ...]) -> None:
        """Say what is noted and not known yet."""
        self._noted = remarks(self.session.snapshot)
        for remark in self._noted:
            if remark not in known:
                behind = f" ({remark.because})" if remark.because else ""
                self.prompts.say(f"{remark.mark} {remark.says}{behind}")

    def _do(self, typed: str, sheet: Sheet | None, *, ready: bool = True) -> bool:
        """Carry out what was typed; False ends the work.

        Only when the step is `ready`, that is read and reached, can it be answered.
        """
        word = " ".join(typed.lower().split())
        if word == "q":
            return False
        if not word:
            self._shown = None
        elif word in self._commands:
            self._commands[word]()
        elif word.startswith("c ") and word[2:].isdecimal():
            self._cause(int(word[2:]))
        elif word.startswith("p "):
            self._record(typed.strip()[2:])
        elif sheet is None or not self._take(word, sheet, ready=ready):
            self.prompts.say(f"'{typed[:40]}' does not fit here. ? explains what can be typed.")
        return True

    def _take(self, word: str, sheet: Sheet, *, ready: bool) -> bool:
        """Take it as what was done with the step, if it can be that."""
        if word == "o" and not sheet.unread:
            return self._reach(sheet)
        if word == "s" and sheet.kind == "remedy":
            self._choose(choose_step(self.prompts, self.session.snapshot))
            return True
        aside = word == "s" or (ready and word == ("0" if sheet.unit is None else "t"))
        if aside:
            self.session.put_aside(sheet.id, "skipped" if word == "s" else "cant_tell")
        elif not (ready and self._answer(word, sheet)):
            return False
        self._chosen = None
        return True

    def _answer(self, word: str, sheet: Sheet) -> bool:
        if sheet.kind == "remedy":
            return self._mend(word, sheet)
        sure: Sure = "fairly" if word.endswith("f") else "certain"
        word = word.removesuffix("f").strip()
        if sheet.unit is not None:
            value = read_number(word, sheet.unit.lower())
            if value is None:
                return False
            self.session.measure(sheet.id, value, sure)
            return True
        number = place_of(word, len(sheet.answers))
        if number is None:
            return False
        self.session.answer(sheet.id, sheet.answers[number][0], sure)
        return True

    def _mend(self, word: str, sheet: Sheet) -> bool:
        number = place_of(word, len(sheet.answers))
        if number is None:
            return False
        note = self.prompts.text("What was found, which part, what size? It may stay empty.")
        done = sheet.answers[number][0] == DONE
        self.session.mend(sheet.id, "done" if done else "given_up", note)
        return True

    def _reach(self, sheet: Sheet) -> bool:
        """The deck was opened or closed as the step needs it."""
        if sheet.closes:
            self.session.close(self.session.book.outside)
        for layer in sheet.opens:
            self.session.open(layer)
        # The way there must not lead away from the step.
        self._chosen = (sheet.kind, sheet.id)
        return bool(sheet.closes or sheet.opens)

    def _record(self, typed: str = "") -> None:
        """Measure a recording, for the step at hand if it can answer that."""
        sheet = self._shown[1] if self._shown else None
        asked = ""
        if sheet and sheet.recording and not sheet.unread and not sheet.closes:
            what, asked = sheet.recording, sheet.id
        else:
            what = choose_kind(self.prompts)
        if what and take_recording(self.prompts, self.shelf, self.session, what, typed, asked):
            self._chosen = None

    def _choose(self, step: tuple[Kind, str] | None) -> None:
        self._chosen = step or self._chosen

    def _in_here(self) -> None:
        sheet = self._shown[1] if self._shown else None
        at_hand = sheet.id if sheet else ""
        self._choose(choose_in_here(self.prompts, self.session.snapshot, at_hand))

    def _ask_again(self) -> None:
        check = next_doubted(self.session.snapshot, self._chosen[1] if self._chosen else "")
        if check is None:
            self.prompts.say("No answer sits badly with the rest.")
        else:
            self._chosen = ("check", check)

    def _undo(self) -> None:
        last = self.session.snapshot.state.to_undo
        self._step_back("Taken back", last)
        self.session.undo()

    def _redo(self) -> None:
        strike = self.session.snapshot.state.to_redo
        struck = None if strike is None else getattr(self.session.events[strike - 1], "event", None)
        self._step_back("Brought back", struck)
        self.session.redo()

    def _step_back(self, what: str, number: int | None) -> None:
        self._chosen = None
        if number is None:
            self.prompts.say("There is nothing to take or bring back.")
        else:
            says = event_words(self.session.book, self.session.events, number)
            self.prompts.say(f"{what}: {says}")

    def _note(self) -> None:
        words = self.prompts.text("Your note:")
        if words:
            self.session.note(words)

    def _cause(self, number: int) -> None:
        found = self.session.snapshot.assessment
        if found and 1 <= number <= len(found.ranking):
            cause = found.ranking[number - 1].id
            show_detail(self.prompts, self.session.cause(cause))
            show_change_of_mind(self.prompts, self.session.change_of_mind(cause))
        else:
            self.prompts.say(f"There is no cause {number}. w lists them.")
