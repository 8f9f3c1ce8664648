"""An oracle for measurements: a tape played by a deck whose faults are known exactly.

A tape is a function of tape time (seconds at nominal speed) or a sound; the deck samples it where
its speed has brought it to. Tones are sampled without any interpolation, so that what is read
besides the deck's own faults is rounding only. Losses and equalisation act on the frequencies that
come out, which flutter leaves unchanged but for its own small share.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import pi, tan

import numpy as np
from scipy import signal
from scipy.fft import next_fast_len

from diag.measure.signals import MadeSound, fade, frames_of, voice
from diag.measure.sound import Array, Samples
from diag.measure.test_signal import PinkNoise, Rest, Tone

Tape = Callable[[Array], Array]
"""Tape time in seconds, shape (n,), to what is recorded there, shape (n,), full scale 1."""

TAPE_SPEED_MM_S = 47.625
"""1 7/8 inch a second, by definition."""
TRACK_SPACING_MM = 0.9
"""Between the middles of the tracks of one programme: 0.6 mm tracks, 0.3 mm guard band."""
TRACK_WIDTH_MM = 0.6
SPACING_LOSS_DB = 54.575
"""Decibels for a gap as wide as a wavelength: 20 * 2 pi * lg e."""
GAP_FACTOR = 1.11
"""Effective gap over optical gap, one of several values in print."""
ARCMIN = pi / 180 / 60
TAPS = 64
CHUNK = 1 << 12


@dataclass(frozen=True, slots=True)
class Swing:
    """One part of the flutter: a sine of speed. `peak` is a fraction of the nominal speed."""

    rate_hz: float
    peak: float
    phase: float = 0.0


@dataclass(frozen=True, slots=True)
class Dropout:
    """A dip of level with edges of 2 ms; `channel` None stands for both."""

    at_s: float
    seconds: float
    depth_db: float
    channel: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedDeck:
    """A deck with its faults; as it stands here it has none.

    Attributes:
        speed_error: fraction of the nominal speed.
        drift: change of speed from the start to the end of a capture, as such a fraction.
        swings: flutter, sines of speed that add up.
        random_flutter: root mean square of a random part of the speed, as such a fraction.
        random_band_hz: band of that part.
        azimuth_arcmin: positive if the right channel comes later.
        azimuth_loss: whether the track width then takes its treble, too.
        spacing_um: distance between head and tape beyond the tape's own.
        gap_um: optical gap of the head; 0 for none of its loss.
        recorded_us: time constant that the tape is made for.
        replay_us: time constant that the deck replays with.
        cubic: x becomes x - cubic * x**3 before all else, channel by channel.
        level_db: gain of both channels.
        balance_db: by how much the right channel is louder than the left one.
        crosstalk_db: level of each channel in the other one; minus infinity for none.
        noise_db: root mean square re full scale of white noise in each channel.
        hum: frequency in Hz and peak level in dB re full scale of each part, in both channels.
        dropouts: dips of level of the tape.
    """

    speed_error: float = 0.0
    drift: float = 0.0
    swings: tuple[Swing, ...] = ()
    random_flutter: float = 0.0
    random_band_hz: tuple[float, float] = (0.5, 100.0)
    azimuth_arcmin: float = 0.0
    azimuth_loss: bool = False
    spacing_um: float = 0.0
    gap_um: float = 0.0
    recorded_us: float = 120.0
    replay_us: float = 120.0
    cubic: float = 0.0
    level_db: float = 0.0
    balance_db: float = 0.0
    crosstalk_db: float = -float("inf")
    noise_db: float = -float("inf")
    hum: tuple[tuple[float, float], ...] = ()
    dropouts: tuple[Dropout, ...] = ()

    def play(
        self,
        left: Tape | Samples,
        right: Tape | Samples | None = None,
        *,
        seconds: float,
        rate_hz: int = 48_000,
        seed: int = 0,
    ) -> Samples:
        """Two channels of a capture of so many seconds.

        Args:
            left: the left track, or a sound of one channel or two that holds both.
            right: the right track if it is another one.
            seconds: length of the capture.
            rate_hz: samples of a channel in a second.
            seed: of everything that is random; the same gives the same capture.
        """
        random = np.random.default_rng(seed)
        tracks = _tracks(left, right)
        place = self.tape_time(seconds, rate_hz, random)
        late = self.delay_us * 1e-6
        first = tracks[0](place)
        same = tracks[1] is tracks[0] and not late
        values = np.stack([first, first if same else tracks[1](place - late)], axis=1)
        values -= self.cubic * values**3
        for dropout in self.dropouts:
            _dip(values, dropout, rate_hz)
        values = self._filtered(values, rate_hz)
        values += values[:, ::-1] * 10 ** (self.crosstalk_db / 20)
        values *= 10 ** (np.array([self.level_db, self.level_db + self.balance_db]) / 20)
        values += random.normal(size=values.shape) * 10 ** (self.noise_db / 20)
        at = np.arange(len(values))[:, None] / rate_hz
        for hz, level_db in self.hum:
            values += 10 ** (level_db / 20) * np.sin(2 * pi * hz * at)
        return Samples(values, rate_hz)

    @property
    def delay_us(self) -> float:
        """By how much the right channel comes later at nominal speed."""
        return TRACK_SPACING_MM * tan(self.azimuth_arcmin * ARCMIN) / TAPE_SPEED_MM_S * 1e6

    def speed(self, seconds: float, rate_hz: int, random: np.random.Generator) -> Array:
        """Speed over nominal speed at every sample of a capture, shape (frames,)."""
        at = np.arange(round(seconds * rate_hz)) / rate_hz
        speed: Array = 1 + self.speed_error + self.drift * (at / seconds - 0.5)
        for swing in self.swings:
            speed += swing.peak * np.sin(2 * pi * swing.rate_hz * at + swing.phase)
        return speed + self._random(len(at), rate_hz, random)

    def tape_time(self, seconds: float, rate_hz: int, random: np.random.Generator) -> Array:
        """The place on the tape, in seconds at nominal speed, at every sample: speed's integral."""
        at = np.arange(round(seconds * rate_hz)) / rate_hz
        place = (1 + self.speed_error - self.drift / 2) * at + self.drift * at**2 / (2 * seconds)
        for swing in self.swings:
            turn = 2 * pi * swing.rate_hz
            place += swing.peak / turn * (np.cos(swing.phase) - np.cos(turn * at + swing.phase))
        wander = self._random(len(at), rate_hz, random)
        # By trapezes; the speed hardly changes within a sample.
        place[1:] += np.cumsum((wander[1:] + wander[:-1]) / 2) / rate_hz
        return np.asarray(place, dtype=np.float64)

    def mean_speed_error(self, seconds: float) -> float:
        """The mean of the speed's fraction over a capture, without its random part."""
        mean = self.speed_error
        for swing in self.swings:
            turn = 2 * pi * swing.rate_hz
            way = np.cos(swing.phase) - np.cos(turn * seconds + swing.phase)
            mean += swing.peak / turn * float(way) / seconds
        return mean

    def response_db(self, hz: Array) -> Array:
        """What losses and equalisation do, in dB, at frequencies of shape (n,)."""
        per_wavelength_mm = hz / TAPE_SPEED_MM_S
        loss = -SPACING_LOSS_DB * self.spacing_um * 1e-3 * per_wavelength_mm
        gap = np.sinc(GAP_FACTOR * self.gap_um * 1e-3 * per_wavelength_mm)
        width = tan(self.azimuth_arcmin * ARCMIN) * TRACK_WIDTH_MM if self.azimuth_loss else 0.0
        with np.errstate(divide="ignore"):
            loss += 20 * np.log10(np.abs(gap * np.sinc(width * per_wavelength_mm)))
        treble = (1 + (2 * pi * hz * self.replay_us * 1e-6) ** 2) / (
            1 + (2 * pi * hz * self.recorded_us * 1e-6) ** 2
        )
        return np.asarray(loss + 10 * np.log10(treble), dtype=np.float64)

    def _random(self, frames: int, rate_hz: int, random: np.random.Generator) -> Array:
        if not self.random_flutter:
            return np.zeros(frames)
        sections = signal.butter(2, self.random_band_hz, "band", fs=rate_hz, output="sos")
        # Begun earlier, so that it has settled.
        lead = round(3 * rate_hz / self.random_band_hz[0])
        low, high = self.random_band_hz
        white = random.normal(size=frames + lead) * (rate_hz / 2 / (high - low)) ** 0.5
        found = signal.sosfilt(sections, white)[lead:]
        # A Butterworth band of two poles each side passes 1.11 times its nominal width of power.
        return np.asarray(found * self.random_flutter / 1.11**0.5, dtype=np.float64)

    def _filtered(self, values: Array, rate_hz: int) -> Array:
        # Padded, so that the end does not come round to the start.
        length = next_fast_len(2 * len(values), real=True)
        hz = np.fft.rfftfreq(length, 1 / rate_hz)
        gain = 10 ** (self.response_db(hz) / 20)
        if np.allclose(gain, 1.0, atol=1e-12):
            return values
        spectrum = np.fft.rfft(values, length, axis=0) * gain[:, None]
        return np.asarray(np.fft.irfft(spectrum, length, axis=0)[: len(values)], dtype=np.float64)


def tone(hz: float, level_db: float = -12.0, phase: float = 0.0) -> Tape:
    """A tone; its peak is `level_db` re full scale."""
    return tones((hz, level_db, phase))


def tones(*parts: tuple[float, float, float]) -> Tape:
    """Tones at once: frequency in Hz, peak level in dB re full scale, phase in radians."""

    def recorded(at: Array) -> Array:
        found = np.zeros(len(at))
        for hz, level_db, phase in parts:
            found += 10 ** (level_db / 20) * np.sin(2 * pi * hz * at + phase)
        return found

    return recorded


def sound_on_tape(sound: Samples, channel: int = 0) -> Tape:
    """A channel of a sound as a tape, silent before and after; good up to 0.4 of its rate."""
    values = np.concatenate([np.zeros(TAPS), sound.values[:, channel], np.zeros(TAPS)])

    def recorded(at: Array) -> Array:
        found = np.empty(len(at))
        for start in range(0, len(at), CHUNK):
            chunk = slice(start, start + CHUNK)
            found[chunk] = _between(values, at[chunk] * sound.rate_hz + TAPS)
        return found

    return recorded


def pieces_on_tape(made: MadeSound, channel: int = 0) -> Tape:
    """A channel of a test tape; its tones and sweeps are sampled without interpolation."""

    def recorded(at: Array) -> Array:
        found = np.zeros(len(at))
        begin = 0
        for piece in made.pieces:
            frames = frames_of(piece, made.rate_hz)
            place = at * made.rate_hz - begin
            inside = np.flatnonzero((place > 0) & (place < frames - 1))
            begin += frames
            if isinstance(piece, Rest) or (
                isinstance(piece, Tone) and channel not in piece.channels
            ):
                continue
            if isinstance(piece, PinkNoise):
                # Some samples lie under the window of the interpolation, too.
                noise = voice(piece, made.rate_hz)(np.arange(frames, dtype=np.float64))
                values = sound_on_tape(Samples(noise[:, None], made.rate_hz))(
                    place[inside] / made.rate_hz
                )
            else:
                values = voice(piece, made.rate_hz)(place[inside])
            found[inside] = values * fade(place[inside], frames, made.rate_hz)
        return found

    return recorded


def white(seconds: float, level_db: float = -20.0, rate_hz: int = 48_000, seed: int = 0) -> Samples:
    """White noise of that root mean square re full scale, in two channels alike."""
    values = np.random.default_rng(seed).normal(size=round(seconds * rate_hz))
    values *= 10 ** (level_db / 20)
    return Samples(np.stack([values, values], axis=1), rate_hz)


def _tracks(left: Tape | Samples, right: Tape | Samples | None) -> tuple[Tape, Tape]:
    if isinstance(left, Samples) and right is None:
        return sound_on_tape(left), sound_on_tape(left, left.channels - 1)
    first = sound_on_tape(left) if isinstance(left, Samples) else left
    if right is None:
        return first, first
    return first, sound_on_tape(right) if isinstance(right, Samples) else right


def _between(values: Array, place: Array) -> Array:
    """Values between samples by a sinc under a Blackman-Harris window; outside they are nothing."""
    half = TAPS // 2
    place = np.clip(place, half, len(values) - half - 1)
    whole = np.floor(place).astype(np.int64)
    part = place - whole
    taps = np.arange(1 - half, half + 1)
    off = taps - part[:, None]
    # sin(pi * off) but for its sign is the same at all taps; the least number stands for 0 / 0.
    sinc = (
        np.sin(pi * part)[:, None] * np.where(taps % 2, -1, 1) / np.where(off, -pi * off, -1e-300)
    )
    sinc[off == 0] = 1.0
    turn = np.cos(pi / half * off)
    # 0.35875 + 0.48829 cos x + 0.14128 cos 2x + 0.01168 cos 3x in powers of the cosine.
    window = 0.21747 + turn * (0.45325 + turn * (0.28256 + turn * 0.04672))
    return np.asarray((values[whole[:, None] + taps] * sinc * window).sum(axis=1))


def _dip(values: Array, dropout: Dropout, rate_hz: int) -> None:
    at = np.arange(len(values)) / rate_hz - dropout.at_s
    edge = 0.002
    inside = np.clip(np.minimum(at, dropout.seconds - at) / edge + 0.5, 0, 1)
    gain = 10 ** (-dropout.depth_db * (1 - np.cos(pi * inside)) / 2 / 20)
    channels = (
        slice(None) if dropout.channel is None else slice(dropout.channel, dropout.channel + 1)
    )
    values[:, channels] *= gain[:, None]
