"""Samples that can be gone through in blocks, from a file or from memory."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]


class Sound(Protocol):
    """A recording of one or two channels; full scale is 1."""

    @property
    def rate_hz(self) -> int:
        """Samples of a channel in a second."""

    @property
    def channels(self) -> int:
        """One or two; the first is the left one."""

    @property
    def frames(self) -> int:
        """Samples of a channel in all."""

    def blocks(self, frames: int) -> Iterator[Array]:
        """The samples from the first to the last, in blocks of shape (up to `frames`, channels)."""


@dataclass(frozen=True, slots=True, eq=False)
class Samples:
    """A sound in memory: `values` of shape (frames, channels)."""

    values: Array
    rate_hz: int

    @property
    def channels(self) -> int:
        """Columns of the values."""
        return int(self.values.shape[1])

    @property
    def frames(self) -> int:
        """Rows of the values."""
        return len(self.values)

    def blocks(self, frames: int) -> Iterator[Array]:
        """Views of the values, one after the other."""
        for at in range(0, len(self.values), frames):
            yield self.values[at : at + frames]


def seconds(sound: Sound) -> float:
    """How long a sound is."""
    return sound.frames / sound.rate_hz
