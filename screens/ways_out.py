"""Ways from the bench to the other screens of a case, to the book and to the sums."""

from __future__ import annotations

from screens.book import BookScreen
from screens.case_screen import CaseScreen
from screens.export import export_trail
from screens.measure import MeasureScreen
from screens.parts import PartsScreen
from screens.sheets import Kind
from screens.strip_down import StripDownScreen
from screens.trail import TrailScreen
from screens.tree import show_tree
from screens.workshop import WorkshopScreen


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

    def action_figures(self) -> None:
        """Figures and curves of recordings."""
        self.app.push_screen(MeasureScreen(self.session))

    def action_trail(self) -> None:
        """Every step of the case."""
        self.app.push_screen(TrailScreen(self.session))

    def action_export(self) -> None:
        """Write the trail to a file."""
        self.start(export_trail, self, self.session)

    def action_tree(self) -> None:
        """A decision tree of the complaint."""
        self.start(show_tree, self, self.session)

    def action_book(self) -> None:
        """Read what the book knows."""
        self.app.push_screen(BookScreen(self.session.pages))

    def action_workshop(self) -> None:
        """Work a bench sum."""
        self.app.push_screen(WorkshopScreen(self.session))

    def action_amend(self) -> None:
        """Say anew what the deck is."""
        from screens.intake import IntakeScreen

        self.app.push_screen(IntakeScreen(self.session))
