"""What a measurement has to know of a test tape."""

from __future__ import annotations

from typing import Literal, Protocol


class TestTape(Protocol):
    """A tape that a right deck plays flat: see `diag.model.test_tape`, which has these."""

    @property
    def says(self) -> str:
        """What it is, in words."""

    @property
    def holds(self) -> Literal["tones", "sweep", "noise"]:
        """Tones one after the other, one sweep from low to high, or pink noise."""

    @property
    def tones_hz(self) -> tuple[float, ...]:
        """Tones in their order on the tape."""

    @property
    def low_hz(self) -> float:
        """Where a sweep or noise begins."""

    @property
    def high_hz(self) -> float:
        """Where it ends."""

    @property
    def reference_hz(self) -> float:
        """The frequency that the others are held against."""

    @property
    def replay_us(self) -> float:
        """Time constant of the treble for which it was recorded."""

    @property
    def bass_us(self) -> float:
        """Time constant of the bass; 0 for none."""

    @property
    def speed_mm_s(self) -> float:
        """Speed at which it is to run."""

    @property
    def whole_width(self) -> bool:
        """Whether both tracks were recorded as one, so that it shows azimuth."""
