"""The signals that a restorer records to make a test tape of his own, described as values.

Each begins with a lead-in of three short tones by which it is found again in a capture. The ratio
of the middle one to the others says which signal it is, so that a deck's speed doesn't matter.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diag.errors import MeasureError
from diag.model.nearest import nearest

REFERENCE_DB = -12.0
"""Peak re full scale of a tone that is to be recorded at the deck's 0 dB mark."""
LOW_DB = REFERENCE_DB - 20
"""Level at which a cassette takes the treble that a response needs; 20 dB below the mark."""
STEPS_HZ = (40, 63, 125, 250, 500, 1000, 2000, 4000, 6300, 8000, 10_000, 12_500, 14_000, 16_000)
STEP_SECONDS = 4.0
SWEEP_HZ = (40.0, 16_000.0)

HOW_TO_RECORD = (
    "Record on a deck whose speed and azimuth are known to be right, on a good tape, with noise "
    "reduction off.",
    "Play 'level' first and set the recording level so that its tone stands at the deck's 0 dB "
    "mark. Then leave that knob alone for all signals: some are meant to be 20 dB lower.",
    "Break out its record tabs when it is done, so that no deck under test wipes it. "
    "'erase' and 'silence' are for the deck under test itself: record them there, on a tape of "
    "their own.",
)

LEAD_IN_HZ = 800.0
LEAD_IN_RATIO = 1.25
"""Middle tone over the outer ones in the lead-in of the first signal."""
LEAD_IN_STEP = 1.06
"""From one signal to the next that ratio grows so."""
LEAD_IN_TONE_SECONDS = 0.5
LEAD_IN_GAP_SECONDS = 0.15
LEAD_IN_REST_SECONDS = 0.7
"""Silence between the lead-in and what it announces."""


@dataclass(frozen=True, slots=True)
class Tone:
    """A sine; `level_db` is its peak re full scale, in the channels that are named."""

    hz: float
    seconds: float
    level_db: float = REFERENCE_DB
    channels: tuple[int, ...] = (0, 1)


@dataclass(frozen=True, slots=True)
class Sweep:
    """A sine whose frequency grows by the same ratio in every second."""

    low_hz: float
    high_hz: float
    seconds: float
    level_db: float = LOW_DB


@dataclass(frozen=True, slots=True)
class PinkNoise:
    """As much power in every octave from 20 Hz to 20 kHz, alike in both channels.

    `level_db` is its root mean square.
    """

    seconds: float
    level_db: float = LOW_DB


@dataclass(frozen=True, slots=True)
class Rest:
    """Silence."""

    seconds: float


Piece = Tone | Sweep | PinkNoise | Rest


@dataclass(frozen=True, slots=True, kw_only=True)
class Signal:
    """One signal.

    Attributes:
        name: as it is typed.
        says: what it is.
        proves: what a tape with it shows.
        cannot: what such a tape leaves open.
        pieces: what comes after the lead-in, in order.
    """

    name: str
    says: str
    proves: str
    cannot: str
    pieces: tuple[Piece, ...]

    @property
    def seconds(self) -> float:
        """Without the lead-in."""
        return sum(piece.seconds for piece in self.pieces)

    @property
    def serves(self) -> tuple[str, ...]:
        """What can be measured with it, as `Measurement.what`."""
        return tuple(
            what for what, served in SERVED_BY.items() if self.name in (name for name, _ in served)
        )


def _steps() -> tuple[Piece, ...]:
    reference = Tone(315, STEP_SECONDS * 2, LOW_DB)
    return (reference, *(Tone(hz, STEP_SECONDS, LOW_DB) for hz in STEPS_HZ))


_ALL = (
    Signal(
        name="speed",
        says="3150 Hz for speed and flutter",
        proves="The speed of this deck beside that of the deck that recorded it, and whether its "
        "flutter is better or worse from one repair to the next.",
        cannot="It is off by whatever the recording deck was off. The recorded flutter is in every "
        "figure: on the deck that recorded it, it may read anything from about nothing to twice "
        "the true flutter, so play it several times from different starts.",
        pieces=(Tone(3150, 120),),
    ),
    Signal(
        name="level",
        says="315 Hz in both channels, then in each alone, for level, balance and separation",
        proves="Balance and separation of recording and replay together, and the distortion at "
        "the level that you recorded.",
        cannot="It says nothing of the flux on the tape: your 0 dB mark is where the recording "
        "deck's meter stood. The tape's own distortion is in the figure, and is most of it.",
        pieces=(
            Tone(315, 20),
            Rest(1),
            Tone(315, 10, channels=(0,)),
            Rest(1),
            Tone(315, 10, channels=(1,)),
        ),
    ),
    Signal(
        name="azimuth",
        says="1, 3.15, 6.3 and 10 kHz, then pink noise, alike in both channels, for azimuth",
        proves="The angle between this deck's head and the head that recorded the tape, and how "
        "much it wanders.",
        cannot="If the recording head leaned, this one will be set to lean as well. Only a tape "
        "recorded at a known right angle shows the true one.",
        pieces=(
            Tone(1000, 8, LOW_DB),
            Tone(3150, 8, LOW_DB),
            Tone(6300, 8, LOW_DB),
            Tone(10_000, 8, LOW_DB),
            PinkNoise(20),
        ),
    ),
    Signal(
        name="steps",
        says="315 Hz, then fourteen tones from 40 Hz to 16 kHz, for response",
        proves="The response of recording and replay together, on this kind of tape, 20 dB below "
        "the mark.",
        cannot="Replay alone stays unknown: bias, equalisation and head of the recording deck are "
        "in it. Noise reduction must be off both times.",
        pieces=_steps(),
    ),
    Signal(
        name="sweep",
        says="a sweep from 40 Hz to 16 kHz, for response",
        proves="The same as the steps, without holes between them.",
        cannot="The same as with the steps. A dropout in the sweep looks like a dip.",
        pieces=(Tone(315, 6, LOW_DB), Rest(0.5), Sweep(*SWEEP_HZ, 60)),
    ),
    Signal(
        name="noise",
        says="pink noise, for response and azimuth",
        proves="Response and azimuth at one go, and quickly seen while a screw is turned.",
        cannot="The same as with the steps; below 60 Hz it takes minutes to be sure.",
        pieces=(PinkNoise(60),),
    ),
    Signal(
        name="silence",
        says="nothing, recorded with the bias on, for noise and hum",
        proves="Noise and hum of recording, tape and replay together. Hum that is there without a "
        "tape, too, is the deck's own.",
        cannot="It doesn't part the tape's noise from the deck's. For that, measure replay with "
        "no tape moving as well.",
        pieces=(Rest(60),),
    ),
    Signal(
        name="distortion",
        says="333 Hz at the mark, for the third harmonic",
        proves="The distortion at the level that you recorded.",
        cannot="Tape, bias and recording amplifier are in it; replay has little part in it.",
        pieces=(Tone(333, 30),),
    ),
    Signal(
        name="dropouts",
        says="6.3 kHz for five minutes, for dropouts",
        proves="Lost contact between tape and head, dirt, and a weak pressure pad.",
        cannot="A fault of the tape looks the same. Play it twice: what comes at the same place "
        "is the tape's.",
        pieces=(Tone(6300, 300, LOW_DB),),
    ),
    Signal(
        name="erase",
        says="1 kHz at the mark, to be erased again, for erase depth",
        proves="How much the erase head leaves: record it, wind back to half of it, and record "
        "silence over the rest with the level turned down.",
        cannot="The deck's own noise hides a residue below it. Only the deck that erases is "
        "tested, and this with your kind of tape.",
        pieces=(Tone(1000, 60),),
    ),
)

SERVED_BY: Mapping[str, tuple[tuple[str, int | None], ...]] = {
    "speed": (("speed", None),),
    "flutter": (("speed", None),),
    "azimuth": (("azimuth", None), ("noise", None)),
    "response": (("steps", None), ("sweep", 2), ("noise", None)),
    "level": (("level", 0), ("distortion", None)),
    "noise": (("silence", None),),
    "hum": (("silence", None),),
    "distortion": (("distortion", None), ("level", 0)),
    "dropouts": (("dropouts", None), ("speed", None)),
    "erase": (("erase", None),),
}
"""By what is measured: signals that serve for it, the best first, and which of their pieces; None
stands for all of them."""

SIGNALS: Mapping[str, Signal] = {signal.name: signal for signal in _ALL}
"""In the order in which a whole test tape has them, which is the order of their lead-ins."""


def signal_named(name: str) -> Signal:
    """The signal of a name.

    Raises:
        MeasureError: there is none; names the nearest that there is.
    """
    if name in SIGNALS:
        return SIGNALS[name]
    raise MeasureError(f"there is no signal '{name}'.", do=nearest(name, SIGNALS))


def lead_in(signal: Signal) -> tuple[Piece, ...]:
    """The tones that come before a signal."""
    outer = Tone(LEAD_IN_HZ, LEAD_IN_TONE_SECONDS)
    middle = Tone(LEAD_IN_HZ * ratio(signal), LEAD_IN_TONE_SECONDS)
    gap = Rest(LEAD_IN_GAP_SECONDS)
    return (Rest(1.0), outer, gap, middle, gap, outer, Rest(LEAD_IN_REST_SECONDS))


def ratio(signal: Signal) -> float:
    """Middle over outer frequency in the lead-in of a signal."""
    return LEAD_IN_RATIO * LEAD_IN_STEP ** list(SIGNALS).index(signal.name)
