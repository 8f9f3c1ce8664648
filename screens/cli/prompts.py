"""Prompts line by line: no cursor tricks, no colour, lines that fit a narrow terminal."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from screens.cli.output import say, say_wrapped
from screens.numbers import finite


class EndOfInput(Exception):
    """Nobody will type any more."""


class Prompts:
    """Asks on stdout and reads from stdin."""

    def text(self, ask: str = "") -> str:
        """One line, without spaces around it.

        Raises:
            EndOfInput: the input has ended.
        """
        if ask:
            self.say(ask)
        print("> ", end="", flush=True)
        line = sys.stdin.readline()
        if not line:
            raise EndOfInput
        if not sys.stdin.isatty():
            # No terminal echoes what comes from a file; whoever reads the output should see it.
            say(line.rstrip("\n"))
        return line.strip()

    def agrees(self, ask: str) -> bool:
        """Whether `y` is typed."""
        return self.text(ask).lower() == "y"

    def say(self, text: str = "", indent: str = "") -> None:
        """Words, wrapped; what follows the first line is indented below it."""
        say_wrapped(text, indent)

    def numbered(self, options: Sequence[str]) -> None:
        """Options, counted from 1."""
        for number, option in enumerate(options, start=1):
            self.say(f"{number}  {option}", "  ")

    def choice(self, ask: str, options: Sequence[str], none: str) -> int | None:
        """The place of one option, or None for 0 or an empty line; asks until it is one of them."""
        self.say(ask)
        self.numbered(options)
        while True:
            typed = self.text(f"  0  {none}")
            if typed in ("", "0"):
                return None
            place = place_of(typed, len(options))
            if place is not None:
                return place
            self.say(f"'{typed}' is none of these. Type a number from 0 to {len(options)}.")

    def several(self, ask: str, options: Sequence[str]) -> list[int]:
        """The places of any number of options."""
        self.say(ask)
        self.numbered(options)
        while True:
            words = self.text("Type their numbers with spaces between.").replace(",", " ").split()
            places = {word: place_of(word, len(options)) for word in words}
            wrong = [word for word, place in places.items() if place is None]
            if not wrong:
                return [place for place in places.values() if place is not None]
            self.say(f"'{wrong[0]}' is none of these.")


def place_of(typed: str, options: int) -> int | None:
    """The place of a numbered option, counted from 0; None if it is none."""
    # A number of thousands of digits is no option, and Python refuses to read it.
    if not (typed.isascii() and typed.isdecimal() and len(typed) <= len(str(options))):
        return None
    return int(typed) - 1 if 1 <= int(typed) <= options else None


def read_number(typed: str, unit: str = "") -> float | None:
    """A number as people type it: comma or point, with or without its unit."""
    return finite(typed.strip().removesuffix(unit).replace("\u2212", "-"))
