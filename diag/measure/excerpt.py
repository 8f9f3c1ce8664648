"""A sound seen through a frame: a stretch of it, or one of its channels."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diag.errors import MeasureError
from diag.measure.sound import Array, Sound
from diag.measure.survey import named


@dataclass(frozen=True, slots=True)
class Stretch:
    """The frames of a sound from `first` up to `last`, which is no longer among them."""

    sound: Sound
    first: int
    last: int

    @property
    def rate_hz(self) -> int:
        """That of the sound."""
        return self.sound.rate_hz

    @property
    def channels(self) -> int:
        """Those of the sound."""
        return self.sound.channels

    @property
    def frames(self) -> int:
        """Of the stretch."""
        return self.last - self.first

    def blocks(self, frames: int) -> Iterator[Array]:
        """The stretch in blocks; what comes after it is not read."""
        at = 0
        for block in self.sound.blocks(frames):
            inside = block[max(0, self.first - at) : max(0, self.last - at)]
            if len(inside):
                yield inside
            at += len(block)
            if at >= self.last:
                return


@dataclass(frozen=True, slots=True)
class OneChannel:
    """One channel of a sound, as a sound of one channel."""

    sound: Sound
    channel: int

    @property
    def rate_hz(self) -> int:
        """That of the sound."""
        return self.sound.rate_hz

    @property
    def channels(self) -> int:
        """One."""
        return 1

    @property
    def frames(self) -> int:
        """Those of the sound."""
        return self.sound.frames

    def blocks(self, frames: int) -> Iterator[Array]:
        """The channel in blocks of shape (up to `frames`, 1)."""
        for block in self.sound.blocks(frames):
            yield block[:, self.channel : self.channel + 1]


def one_channel(sound: Sound, channel: int, where: str = "") -> OneChannel:
    """The channel of that number.

    Raises:
        MeasureError: the sound has no such channel.
    """
    if channel >= sound.channels:
        raise MeasureError(
            f"it has one channel; {named(channel, 2)} isn't there.",
            where=where,
            do="Leave the channel out, or record both in stereo.",
        )
    return OneChannel(sound, channel)
