"""What a case knows of its deck that measurements of its recordings use."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from diag.cases.fold import CaseState
from diag.model.book import Book

if TYPE_CHECKING:
    # Only its name: screens use this before numpy is read in.
    from diag.measure.geometry import Geometry

LOCAL_HZ = "local_hz"
"""The fact that tells the frequency of the mains."""
TAPE_SPEED = "tape_speed"
"""The fact that tells the speed of the tape in cm/s, in families that have several."""
MAINS_HZ = (50.0, 60.0)


@dataclass(frozen=True, slots=True)
class OfDeck:
    """What is known of a deck.

    Attributes:
        sizes: of its turning parts, by the keys of `diag.model.sizes`.
        drive: what turns the capstan; empty if that isn't known.
        mains_hz: 50 or 60 where the deck stands; None if that isn't known.
        mains_motor: whether the mains feed the motor of the capstan itself.
        speed_is_known: whether the speed of the tape is told, or the usual one is the only one.
    """

    sizes: Mapping[str, float] = field(default_factory=dict)
    drive: str = ""
    mains_hz: float | None = None
    mains_motor: bool = False
    speed_is_known: bool = True

    def geometry(self) -> Geometry:
        """The same for the rates of its parts.

        Raises:
            MeasureError: a size can't be.
        """
        from diag.measure.geometry import DRIVES, Geometry

        return Geometry(
            drive=self.drive if self.drive in DRIVES else "",
            mains_hz=self.mains_hz if self.mains_motor else None,
            **self.sizes,
        )


def of_deck(book: Book, state: CaseState) -> OfDeck:
    """What a case tells of its deck; sizes come with what its figures are held against."""
    traits, facts = state.deck.traits, state.deck.facts
    sizes: dict[str, float] = {}
    if isinstance(speed := facts.get(TAPE_SPEED), int | float):
        sizes["speed_mm_s"] = 10 * speed
    if state.held_against is not None:
        sizes |= {size.key: size.value for size in state.held_against.sizes}
    mains_hz = facts.get(LOCAL_HZ)
    return OfDeck(
        sizes=sizes,
        drive=traits.get("drive", ""),
        mains_hz=float(mains_hz) if mains_hz in MAINS_HZ else None,
        mains_motor=traits.get("mains_motor") == "yes",
        speed_is_known=TAPE_SPEED not in book.facts or "speed_mm_s" in sizes,
    )
