"""A sound cut into segments of one length."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from diag.measure.sound import Array, Sound

READ_FRAMES = 1 << 17


def segments(sound: Sound, length: int, hop: int = 0) -> Iterator[Array]:
    """Segments of shape (length, channels); there is no short one at the end.

    Args:
        sound: what is cut up; it is read once, and a segment is a copy.
        length: samples in a segment.
        hop: samples from one start to the next, at most `length`; 0 for `length`.
    """
    rest = np.zeros((0, sound.channels))
    for block in sound.blocks(max(READ_FRAMES, length)):
        rest = np.concatenate([rest, block])
        at = 0
        while at + length <= len(rest):
            yield rest[at : at + length].copy()
            at += hop or length
        rest = rest[at:]
