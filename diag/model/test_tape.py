"""A test tape as its label describes it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from diag.model.figures import Entry

CLOSEST = 1.1
"""Neighbouring tones must be further apart than this factor, to be known at the wrong speed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TestTape(Entry):
    """What a tape for the frequency response holds, and how a right deck would play it: flat.

    Attributes:
        says: what it is, in words.
        holds: tones one after the other, one sweep from low to high, or pink noise.
        tones_hz: the tones in their order on the tape.
        low_hz: where a sweep or noise begins.
        high_hz: where it ends.
        reference_hz: the frequency that the others are held against.
        replay_us: time constant of the treble for which it was recorded.
        bass_us: time constant of the bass; 0 for none.
        speed_mm_s: speed at which it is to run.
        whole_width: whether both tracks were recorded as one, so that it shows azimuth.
    """

    says: str
    holds: Literal["tones", "sweep", "noise"]
    tones_hz: tuple[float, ...] = ()
    low_hz: float = 0.0
    high_hz: float = 0.0
    reference_hz: float
    replay_us: float
    bass_us: float = 3180.0
    speed_mm_s: float = 47.625
    whole_width: bool = True

    def __post_init__(self) -> None:
        if self.holds == "tones":
            self._check_tones()
        elif not 0 < self.low_hz <= self.reference_hz <= self.high_hz:
            raise ValueError("low_hz, reference_hz and high_hz are wanted in rising order")
        if self.replay_us <= 0 or self.bass_us < 0 or self.speed_mm_s <= 0:
            raise ValueError("replay_us and speed_mm_s must be above 0, bass_us not below")

    def _check_tones(self) -> None:
        rising = sorted(self.tones_hz)
        if len(rising) < 2 or rising[0] <= 0:
            raise ValueError("tones_hz wants two frequencies or more, above 0")
        if self.reference_hz not in rising:
            raise ValueError(f"reference_hz {self.reference_hz:g} is none of tones_hz")
        for low, high in pairwise(rising):
            if high < CLOSEST * low:
                raise ValueError(f"the tones {low:g} and {high:g} Hz are too close to tell apart")
