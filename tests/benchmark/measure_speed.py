"""How fast flutter and noise are measured, and in how much memory: a minute, and an hour in stereo.

Times are of the processor, so that what else the machine does counts little. The hour is a file of
24 bits, a gigabyte, in the folder for temporary files while it is measured; reading it is part of
its time.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median

import numpy as np

from diag.measure.capture import open_capture, write_capture
from diag.measure.flutter import measure_flutter
from diag.measure.noise import measure_noise
from diag.measure.sound import Array, Samples
from diag.measure.speed import measure_speed

RATE_HZ = 48_000
TIMES = 7
LOOP_SECONDS = 10


@dataclass(frozen=True, slots=True)
class Played:
    """A tone of 3150 Hz with 0.1 % of flutter at 4 Hz and some noise: ten seconds, over and over.

    Tone and swing have whole periods in ten seconds, so that no seam shows.
    """

    frames: int
    channels: int = 2
    rate_hz: int = RATE_HZ
    loop: Array = field(init=False)

    def __post_init__(self) -> None:
        at = np.arange(LOOP_SECONDS * self.rate_hz) / self.rate_hz
        swing = 1e-3 / (2 * np.pi * 4) * np.sin(2 * np.pi * 4 * at)
        tone = 0.3 * np.sin(2 * np.pi * 3150 * (at + swing))
        noise = np.random.default_rng(1).standard_normal((len(at), self.channels))
        object.__setattr__(self, "loop", tone[:, None] + 0.002 * noise)

    def blocks(self, frames: int) -> Iterator[Array]:
        """As a sound gives them."""
        for first in range(0, self.frames, frames):
            at = np.arange(first, min(first + frames, self.frames)) % len(self.loop)
            yield self.loop[at]


def main() -> None:
    """Print times as multiples of real time and the peak of memory, each with its goal."""
    minute = np.concatenate(list(Played(60 * RATE_HZ).blocks(1 << 18)))
    for name, values in (("mono", minute[:, :1].copy()), ("stereo", minute)):
        sound = Samples(values, RATE_HZ)
        _print(f"speed of a minute in {name}", lambda sound=sound: measure_speed(sound, 3150), 200)
        _print(
            f"flutter of a minute in {name}", lambda sound=sound: measure_flutter(sound, 3150), 200
        )
    hiss = Samples(1e-3 * np.random.default_rng(2).standard_normal(minute.shape), RATE_HZ)
    _print("noise of a minute in stereo", lambda: measure_noise(hiss), 100)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "hour.wav")
        write_capture(path, Played(3600 * RATE_HZ))
        # Memory that a process once had stays its peak, so the hour has one of its own.
        subprocess.run([sys.executable, "-m", "tests.benchmark.measure_speed", path], check=True)


def _print(what: str, measure: Callable[[], object], goal: int) -> None:
    """Time one measurement of a minute; the first run only warms up."""
    taken = []
    for _ in range(TIMES + 1):
        begin = time.process_time()
        measure()
        taken.append(time.process_time() - begin)
    usual = median(taken[1:])
    print(f"{what:30} {60 / usual:8.0f}x real time ({usual * 1e3:.0f} ms; goal: {goal})")


def hour(path: Path) -> None:
    """Print time and peak of memory of an hour in stereo."""
    begin = time.process_time()
    measure_flutter(open_capture(path), 3150)
    taken = time.process_time() - begin
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    what = "flutter of an hour in stereo"
    print(
        f"{what:30} {3600 / taken:8.0f}x real time ({taken:.0f} s; goal: 200), "
        f"{peak_mb:.0f} MB at most (goal: 400)"
    )


if __name__ == "__main__":
    hour(Path(sys.argv[1])) if len(sys.argv) > 1 else main()
