"""Test signals as sounds, made while they are read, so that none is held whole."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import log, pi

import numpy as np

from diag.errors import MeasureError
from diag.measure.sound import Array
from diag.measure.test_signal import SIGNALS, Piece, Rest, Signal, Sweep, Tone, lead_in

RATES_HZ = (44_100, 48_000, 88_200, 96_000, 192_000)
FADE_SECONDS = 0.005
"""In and out of each piece, so that none begins with a click."""
NOISE_BAND_HZ = (20.0, 20_000.0)
NOISE_SECONDS = 5.0
"""The noise comes round after at least so long; over whole rounds its spectrum has no scatter."""
NOISE_SEED = 1
PIECE_BLOCK = 1 << 16


@dataclass(frozen=True, slots=True)
class MadeSound:
    """Pieces one after the other, in two channels; the same samples each time it is read."""

    pieces: tuple[Piece, ...]
    rate_hz: int

    @property
    def channels(self) -> int:
        """Two."""
        return 2

    @property
    def frames(self) -> int:
        """Of all pieces."""
        return sum(frames_of(piece, self.rate_hz) for piece in self.pieces)

    def blocks(self, frames: int) -> Iterator[Array]:
        """The samples in blocks of shape (up to `frames`, 2); only the last is shorter."""
        held: list[Array] = []
        count = 0
        for made in self._made():
            held.append(made)
            count += len(made)
            if count >= frames:
                whole = np.concatenate(held)
                for at in range(0, count - frames + 1, frames):
                    yield whole[at : at + frames]
                rest = whole[count - count % frames :]
                held, count = [rest], len(rest)
        if count:
            yield np.concatenate(held)

    def _made(self) -> Iterator[Array]:
        for piece in self.pieces:
            frames = frames_of(piece, self.rate_hz)
            sounds = voice(piece, self.rate_hz)
            channels = list(piece.channels) if isinstance(piece, Tone) else [0, 1]
            for first in range(0, frames, PIECE_BLOCK):
                at = np.arange(first, min(first + PIECE_BLOCK, frames), dtype=np.float64)
                values = np.zeros((len(at), 2))
                faded = sounds(at) * fade(at, frames, self.rate_hz)
                values[:, channels] = faded[:, None]
                yield values


def tape_of(names: tuple[str, ...], rate_hz: int) -> MadeSound:
    """Signals of those names one after the other, each with its lead-in.

    Raises:
        MeasureError: the rate is none that is written.
    """
    if rate_hz not in RATES_HZ:
        raise MeasureError(
            f"{rate_hz} Hz is no rate that is written.",
            do=f"Choose one of {', '.join(map(str, RATES_HZ))}.",
        )
    pieces: list[Piece] = []
    for name in names:
        pieces += with_lead_in(SIGNALS[name])
    return MadeSound(tuple(pieces), rate_hz)


def with_lead_in(signal: Signal) -> tuple[Piece, ...]:
    """A signal as it is recorded: its lead-in, its pieces, and a second of silence."""
    return (*lead_in(signal), *signal.pieces, Rest(1.0))


def frames_of(piece: Piece, rate_hz: int) -> int:
    """How long a piece is."""
    return round(piece.seconds * rate_hz)


def voice(piece: Piece, rate_hz: int) -> Callable[[Array], Array]:
    """A function that gives a piece at frames of it, shape (n,) to shape (n,).

    Frames need not be whole but for noise.
    """
    if isinstance(piece, Rest):
        return np.zeros_like
    level = 10 ** (piece.level_db / 20)
    if isinstance(piece, Tone):
        turn = 2 * pi * piece.hz / rate_hz
        return lambda at: np.asarray(level * np.sin(turn * at))
    if isinstance(piece, Sweep):
        growth = log(piece.high_hz / piece.low_hz) / piece.seconds
        turns = 2 * pi * piece.low_hz / growth
        return lambda at: np.asarray(level * np.sin(turns * np.expm1(growth / rate_hz * at)))
    noise = level * pink_round(rate_hz)
    return lambda at: np.asarray(noise[at.astype(np.int64) % len(noise)])


def pink_round(rate_hz: int) -> Array:
    """One round of pink noise, root mean square 1: phases are drawn, magnitudes are exact."""
    frames = 1 << int(np.ceil(np.log2(NOISE_SECONDS * rate_hz)))
    hz = np.fft.rfftfreq(frames, 1 / rate_hz)
    inside = (hz >= NOISE_BAND_HZ[0]) & (hz <= NOISE_BAND_HZ[1])
    phase = np.random.default_rng(NOISE_SEED).uniform(0, 2 * pi, len(hz))
    lines = np.zeros(len(hz), dtype=np.complex128)
    lines[inside] = np.exp(1j * phase[inside]) / np.sqrt(hz[inside])
    values = np.fft.irfft(lines, frames)
    return np.asarray(values / np.sqrt(np.mean(values**2)), dtype=np.float64)


def fade(at: Array, frames: int, rate_hz: int) -> Array:
    """Raised-cosine gain from 0 to 1 at the start and back at the end of a piece."""
    edge = FADE_SECONDS * rate_hz
    near = np.clip(np.minimum(at, frames - 1 - at) / edge, 0, 1)
    return np.asarray((1 - np.cos(pi * near)) / 2, dtype=np.float64)
