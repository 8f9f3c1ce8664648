"""What the bench says when there is no step at hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.console import RenderableType
from rich.text import Text

from diag.planning.reasons import minutes_in_words
from diag.session.words import outside_in_words
from screens.sheets import layer_name
from screens.widgets.lines import keyed

if TYPE_CHECKING:
    from diag.session.snapshot import Snapshot


def ending(snapshot: Snapshot) -> tuple[str, tuple[RenderableType, ...]]:
    """The deck has passed its final test; or nothing is left, or nothing can be worked out."""
    found = snapshot.assessment
    if found is None:
        return (
            "The answers can't be worked out together.",
            (
                Text(snapshot.trouble),
                keyed(
                    [("u", "take the last answer back"), ("t", "look for one that may be wrong")]
                ),
            ),
        )
    if found.is_well:
        return (
            "The final test has passed.",
            (
                Text(f"The deck does its work again, after {minutes_in_words(snapshot.minutes)}."),
                *_still_open(snapshot),
                keyed(
                    [
                        ("x", "write the trail to a file, for the owner and the next restorer"),
                        ("n", "add a note before you do"),
                        ("a", "go on all the same, with a check of your choice"),
                        ("Esc", "back to the shelf"),
                    ]
                ),
            ),
        )
    outside = outside_in_words(snapshot.book, found)
    return (
        "Nothing is left that this book would ask or mend.",
        (
            *([Text(outside)] if outside else []),
            Text("Steps that you skipped or could not tell can still be taken."),
            *_still_open(snapshot),
            keyed(
                [
                    ("a", "choose any check or remedy"),
                    ("n", "write down what you see"),
                    ("x", "write the trail, with its open questions, to a file"),
                ]
            ),
        ),
    )


def _still_open(snapshot: Snapshot) -> tuple[RenderableType, ...]:
    names = ", ".join(layer_name(name) for name in snapshot.state.open_layers)
    return (Text(f"Still open: {names}. l closes them."),) if names else ()
