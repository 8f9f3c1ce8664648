"""Ways from the bench to the screens of strip-down and of parts."""

from __future__ import annotations

from screens.case_screen import CaseScreen
from screens.parts import PartsScreen
from screens.sheets import Kind
from screens.strip_down import StripDownScreen


class WaysOut(CaseScreen):
    """A screen of a case on which a step can be chosen from elsewhere."""

    def choose(self, kind: Kind, step: str) -> None:
        """Put another step on the card."""
        raise NotImplementedError

    def action_strip_down(self) -> None:
        """What comes off, and putting it together again."""
        self.app.push_screen(StripDownScreen(self.session, self.choose))

    def action_parts(self) -> None:
        """The parts that the deck needs."""
        self.app.push_screen(PartsScreen(self.session))
