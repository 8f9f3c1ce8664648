"""Ways from the bench to the other screens of a case, to the book and to the sums.

Each is imported when it is first gone to: together they take as long to read in as the app itself.
"""

from __future__ import annotations

from screens.case_screen import CaseScreen
from screens.sheets import Kind


class WaysOut(CaseScreen):
    """A screen of a case on which a step can be chosen from elsewhere."""

    def choose(self, kind: Kind, step: str) -> None:
        """Put another step on the card."""
        raise NotImplementedError

    def action_strip_down(self) -> None:
        """What comes off, and putting it together again."""
        from screens.strip_down import StripDownScreen

        self.app.push_screen(StripDownScreen(self.session, self.choose))

    def action_parts(self) -> None:
        """The parts that the deck needs."""
        from screens.parts import PartsScreen

        self.app.push_screen(PartsScreen(self.session))

    def action_figures(self) -> None:
        """Figures and curves of recordings."""
        from screens.measure import MeasureScreen

        self.app.push_screen(MeasureScreen(self.session))

    def action_trail(self) -> None:
        """Every step of the case."""
        from screens.trail import TrailScreen

        self.app.push_screen(TrailScreen(self.session))

    def action_export(self) -> None:
        """Write the trail to a file."""
        from screens.export import export_trail

        self.start(export_trail, self, self.session)

    def action_tree(self) -> None:
        """A decision tree of the complaint."""
        from screens.tree import show_tree

        self.start(show_tree, self, self.session)

    def action_book(self) -> None:
        """Read what the book knows."""
        from screens.book import BookScreen

        self.app.push_screen(BookScreen(self.session.pages))

    def action_workshop(self) -> None:
        """Work a bench sum."""
        from screens.workshop import WorkshopScreen

        self.app.push_screen(WorkshopScreen(self.session))

    def action_amend(self) -> None:
        """Say anew what the deck is."""
        from screens.intake import IntakeScreen

        self.app.push_screen(IntakeScreen(self.session))
