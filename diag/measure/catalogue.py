"""Every measurement by its name, each on that part of a capture that serves for it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from math import hypot

from diag.errors import MeasureError
from diag.measure.azimuth import measure_azimuth
from diag.measure.distortion import measure_distortion
from diag.measure.dropouts import measure_dropouts
from diag.measure.erase import measure_erase
from diag.measure.excerpt import Stretch
from diag.measure.flutter import LEAST_SECONDS as FLUTTER_SECONDS
from diag.measure.flutter import measure_flutter
from diag.measure.geometry import Geometry
from diag.measure.home_tape import HOME_TAPES
from diag.measure.hum import measure_hum
from diag.measure.lead_in import Found, find_signals
from diag.measure.level import measure_level
from diag.measure.noise import measure_noise
from diag.measure.response import measure_response
from diag.measure.result import Figure, Measurement
from diag.measure.rotation import match_rotation
from diag.measure.sound import Sound
from diag.measure.speed import OTHERWISE_KEY, follow, measure_speed
from diag.measure.test_signal import SERVED_BY, Tone
from diag.measure.test_tape import TestTape
from diag.model.nearest import nearest

ONE_SIDED = ((2, "left"), (4, "right"))
"""Pieces of the signal `level` in which one channel has the tone."""
SPEED_OF_LEAD_IN = 0.004
"""Half the 95 % interval of the speed that a lead-in tells, as a share: flutter moves it."""
LEAST_SHARE = 0.7
"""Share of a piece that must be there for it to count."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is known besides the capture; None is not known.

    Attributes:
        nominal_hz: the tone that is on the tape.
        tape: what the tape holds, for response; our own signals need none.
        reference: a capture of the reference level, at the same setting of the recorder.
        reference_dbfs: or that level itself, in dB re a sine that fills the scale.
        mains_hz: 50 or 60 where the deck stands.
        card: the tone from the card's output into its input, for distortion.
        speed_error_percent: how much too fast the deck runs, and half the 95 % interval of that,
            for the azimuth of a tape that doesn't tell it by our own signals.
        geometry: nominal speed of the tape, and sizes of the turning parts.
        speed_is_known: whether that is its speed; if not, flutter isn't matched to parts.
    """

    nominal_hz: float | None = None
    tape: TestTape | None = None
    reference: Sound | None = None
    reference_dbfs: float | None = None
    mains_hz: float | None = None
    card: Sound | None = None
    speed_error_percent: tuple[float, float] | None = None
    geometry: Geometry = Geometry()
    speed_is_known: bool = True

    def __post_init__(self) -> None:
        """Refuse a tape that stands still or runs backwards."""
        if self.speed_error_percent is not None and self.speed_error_percent[0] <= -100:
            raise MeasureError(
                f"a deck that is {self.speed_error_percent[0]:g} % off in speed moves no tape.",
                do="Give the speed error in percent, minus for slow.",
            )


NOTHING_KNOWN = Known()

Measure = Callable[[Sound, Known], Measurement]


def _flutter(sound: Sound, known: Known) -> Measurement:
    """Flutter, and which part its strongest rate may come from."""
    found = measure_flutter(sound, known.nominal_hz)
    series = follow(sound, known.nominal_hz, FLUTTER_SECONDS).series
    try:
        if not known.speed_is_known:
            raise MeasureError(
                "the speed of the tape isn't known.", do="Put it among the facts of the deck."
            )
        turning = match_rotation(series, known.geometry)
    except MeasureError as error:
        told = f"Which part it comes from wasn't told: {error}"
        return replace(found, remarks=(*found.remarks, told))
    return replace(
        found,
        figures=(*found.figures, *turning.figures),
        curves=(*found.curves, *turning.curves),
        remarks=(*found.remarks, *turning.remarks),
        likely=turning.likely,
    )


def _response(sound: Sound, known: Known) -> Measurement:
    if known.tape is None:
        raise MeasureError(
            "what is on the test tape isn't known.",
            do="Name its description (with --tape), or record the signal 'steps' on one.",
        )
    return measure_response(sound, known.tape)


MEASURES: Mapping[str, Measure] = {
    "speed": lambda sound, known: measure_speed(sound, known.nominal_hz),
    "flutter": _flutter,
    "azimuth": lambda sound, known: measure_azimuth(sound, known.geometry.speed_mm_s),
    "response": _response,
    "level": lambda sound, _: measure_level(sound),
    "noise": lambda sound, known: measure_noise(
        sound, reference=known.reference, reference_dbfs=known.reference_dbfs
    ),
    "hum": lambda sound, known: measure_hum(
        sound,
        reference=known.reference,
        reference_dbfs=known.reference_dbfs,
        mains_hz=known.mains_hz,
    ),
    "distortion": lambda sound, known: measure_distortion(
        sound, nominal_hz=known.nominal_hz, card=known.card
    ),
    "dropouts": lambda sound, _: measure_dropouts(sound),
    "erase": lambda sound, known: measure_erase(
        sound,
        reference=known.reference,
        reference_dbfs=known.reference_dbfs,
        nominal_hz=known.nominal_hz,
    ),
}
"""By `Measurement.what`, in the order in which they are told."""


def measure(what: str, sound: Sound, known: Known = NOTHING_KNOWN) -> Measurement:
    """One measurement, of the test signal that serves for it if the capture holds it, else of all.

    Raises:
        MeasureError: there is no such measurement, or it can't be made of this.
    """
    if what not in MEASURES:
        raise MeasureError(f"there is no measurement '{what}'.", do=nearest(what, MEASURES))
    return _measure(what, sound, find_signals(sound), known)


def measure_all(
    sound: Sound, known: Known = NOTHING_KNOWN
) -> Mapping[str, Measurement | MeasureError]:
    """Every measurement that the capture allows, and for the others why not.

    A speed that is in no doubt serves the azimuth.

    Raises:
        MeasureError: the capture can't be read.
    """
    found = find_signals(sound)
    told: dict[str, Measurement | MeasureError] = {}
    for what in MEASURES:
        try:
            made = told[what] = _measure(what, sound, found, known)
        except MeasureError as error:
            told[what] = error
            continue
        in_doubt = any(figure.key == OTHERWISE_KEY for figure in made.figures)
        if what == "speed" and not in_doubt:
            off = made["speed_error_percent"]
            known = replace(known, speed_error_percent=(off.value, off.uncertainty))
    return told


def _measure(what: str, sound: Sound, found: tuple[Found, ...], known: Known) -> Measurement:
    served = _serving(what, found)
    if served is None:
        if found:
            _refuse_foreign(what, found)
        return _foreign(what, sound, known)
    one, piece = served
    if known.reference is None and known.reference_dbfs is None and what in ("noise", "hum"):
        known = replace(known, reference=_reference(found))
    if known.nominal_hz is None:
        known = replace(known, nominal_hz=_tone_of(one, piece))
    if known.tape is None:
        known = replace(known, tape=HOME_TAPES.get(one.signal.name))
    if what == "azimuth":  # a fast deck makes the same angle a shorter delay
        known = _at_speed(known, one.speed)
    result = MEASURES[what](one.sound if piece is None else piece_of(one, piece), known)
    result = _with_speed_in_doubt(result, SPEED_OF_LEAD_IN)
    if what == "level" and one.signal.name == "level":
        figures, remarks = _separation(one)
        result = replace(
            result,
            figures=(*result.figures, *figures),
            remarks=(*result.remarks, *remarks),
        )
    return replace(result, remarks=(*_told_of(one), *result.remarks))


def _serving(what: str, found: tuple[Found, ...]) -> tuple[Found, int | None] | None:
    """The best signal that was found for a measurement, and which piece of it."""
    for name, piece in SERVED_BY[what]:
        for one in found:
            if one.signal.name == name:
                return one, piece
    return None


def _tone_of(found: Found, piece: int | None) -> float | None:
    """The tone that a signal consists of, if it is one only; it need not be guessed then."""
    pieces = found.signal.pieces if piece is None else (found.signal.pieces[piece],)
    (first, *others) = pieces
    return first.hz if isinstance(first, Tone) and not others else None


def _refuse_foreign(what: str, found: tuple[Found, ...]) -> None:
    wanted = " or ".join(f"'{name}'" for name, _ in SERVED_BY[what])
    there = ", ".join(f"'{one.signal.name}'" for one in found)
    raise MeasureError(
        f"of the test signals it holds {there}; {what} needs {wanted}.",
        do=f"Record that signal too: benchtrail signal {SERVED_BY[what][0][0]} FILE",
    )


def piece_of(found: Found, number: int) -> Stretch:
    """A piece of a signal that was found, short of its edges.

    Raises:
        MeasureError: the capture ends before it.
    """
    before = sum(piece.seconds for piece in found.signal.pieces[:number])
    whole = found.sound
    rate_hz = whole.rate_hz / found.speed
    # The stretch begins and ends an eighth of a second within the signal.
    first = whole.first + round(before * rate_hz)
    last = whole.first + round((before + found.signal.pieces[number].seconds) * rate_hz)
    last = min(last - round(0.25 * whole.rate_hz), whole.last)
    if last - first < LEAST_SHARE * found.signal.pieces[number].seconds * rate_hz:
        raise MeasureError(
            f"it ends before the signal '{found.signal.name}' does.",
            do="Record the test tape to its end.",
        )
    return Stretch(whole.sound, first, last)


def _reference(found: tuple[Found, ...]) -> Sound | None:
    served = _serving("level", found)
    if served is None:
        return None
    one, piece = served
    return one.sound if piece is None else piece_of(one, piece)


def _separation(found: Found) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    """From each channel into the other, the worse one first under the key itself; and remarks."""
    figures: list[Figure] = []
    remarks: list[str] = []
    for piece, side in ONE_SIDED:
        try:
            told = measure_level(piece_of(found, piece)).figures
        except MeasureError as error:
            remarks.append(f"Separation from the {side} channel wasn't told: {error}")
            continue
        for figure in told:
            if figure.key.startswith("separation_"):
                stem = figure.key.removesuffix("_db")
                figures.append(replace(figure, key=f"{stem}_{side}_db"))
    if len(figures) < len(ONE_SIDED):
        return tuple(figures), tuple(remarks)
    worse = min(figures, key=lambda figure: figure.value)
    key = "_".join(part for part in worse.key.split("_") if part not in ("left", "right"))
    return (replace(worse, key=key), *figures), tuple(remarks)


def _foreign(what: str, sound: Sound, known: Known) -> Measurement:
    """A measurement of a tape without our own signals."""
    if what != "azimuth" or known.speed_error_percent is None:
        return MEASURES[what](sound, known)
    error, within = known.speed_error_percent
    speed = 1 + error / 100
    result = MEASURES[what](sound, _at_speed(known, speed))
    result = _with_speed_in_doubt(result, within / 100 / speed)
    remark = f"Worked out for a tape that runs {error:+.2f} % off in speed, as was measured."
    return replace(result, remarks=(*result.remarks, remark))


def _at_speed(known: Known, speed: float) -> Known:
    """The same for a tape that runs at this multiple of its nominal speed."""
    speed_mm_s = known.geometry.speed_mm_s * speed
    return replace(known, geometry=replace(known.geometry, speed_mm_s=speed_mm_s))


def _with_speed_in_doubt(result: Measurement, doubt: float) -> Measurement:
    """An angle is worked out with the speed; `doubt` is half its 95 % interval as a share."""
    figures = (
        replace(figure, uncertainty=hypot(figure.uncertainty, doubt * figure.value))
        if figure.key.startswith("azimuth_")
        else figure
        for figure in result.figures
    )
    return replace(result, figures=tuple(figures))


def _told_of(found: Found) -> tuple[str, ...]:
    at_s = found.sound.first / found.sound.rate_hz
    told = f"Measured on the test signal '{found.signal.name}', {at_s:.0f} s into the recording."
    if not found.is_whole:
        told += " The recording ends before the signal does."
    return (told, found.signal.cannot)
