"""What every key of a screen does."""

from __future__ import annotations

from rich.text import Text

from screens.actions import ACTIONS
from screens.dialogs.page import Reading
from screens.widgets.lines import heading, keyed, spaced

MARKS = (
    ("▲ ▼ =", "a cause rose, fell or stayed at the last answer, in hundredths"),
    ("DANGER", "must be read, with y, before the step is shown; the trail records it"),
    ("CARE", "a hazard that needs care"),
    ("!", "something does not fit; v reads it in full"),
    ("x", "an event that was struck out; it stays in the trail"),
)


class Help(Reading):
    """The page of keys, made from the registry."""

    def __init__(self, place: str) -> None:
        own = [(a.shown, Text(a.help)) for a in ACTIONS.get(place, ())]
        everywhere = [(a.shown, Text(a.help)) for a in ACTIONS["everywhere"]]
        body = spaced(
            [
                keyed(own, width=7),
                heading("On every screen"),
                keyed(everywhere, width=7),
                heading("Marks"),
                keyed([(mark, Text(says)) for mark, says in MARKS], width=7),
            ]
        )
        super().__init__("What the keys do here", body)
