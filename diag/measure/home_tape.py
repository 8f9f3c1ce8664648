"""Our own signals for response, described as a test tape."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from diag.measure.tape_geometry import SPEED_MM_S
from diag.measure.test_signal import STEPS_HZ, SWEEP_HZ


@dataclass(frozen=True, slots=True, kw_only=True)
class HomeTape:
    """A tape that was recorded on a right deck plays flat on a right deck: see `TestTape`.

    Its time constants are those of the recording deck, taken to be the usual ones of tape type I.
    """

    says: str
    holds: Literal["tones", "sweep", "noise"]
    tones_hz: tuple[float, ...] = ()
    low_hz: float = 40.0
    high_hz: float = 16_000.0
    reference_hz: float = 1000.0
    replay_us: float = 120.0
    bass_us: float = 3180.0
    speed_mm_s: float = SPEED_MM_S
    whole_width: bool = True


HOME_TAPES: Mapping[str, HomeTape] = {
    "steps": HomeTape(
        says="Steps of a tape of your own",
        holds="tones",
        tones_hz=(315.0, *map(float, STEPS_HZ)),
        reference_hz=315.0,
    ),
    "sweep": HomeTape(
        says="Sweep of a tape of your own", holds="sweep", low_hz=SWEEP_HZ[0], high_hz=SWEEP_HZ[1]
    ),
    "noise": HomeTape(says="Noise of a tape of your own", holds="noise"),
}
"""By the name of the signal."""
