"""From the figures of a recording to answers of checks, and to what a case keeps of it."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from math import inf, isfinite, log, nextafter

from diag.cases.captured import Likely, Reading
from diag.cases.text import visible
from diag.measure.result import Measurement
from diag.model.check import Check
from diag.model.figures import Name
from diag.model.found import Curve, Figure
from diag.model.history import Sure
from diag.model.trait import Deck, fits

MOST_POINTS = 240
"""Points that are kept of a curve; a page shows no more."""
POINT_DIGITS = 5
"""Digits of a point."""
LONGEST_NAME = 120
"""Signs of a file name that are kept."""


@dataclass(frozen=True, slots=True)
class FigureOf:
    """Which figure of which measurement tells a quantity of the book, and in what unit.

    `unsigned` quantities are asked for without a sign. `at_least` is the key of a figure that
    stands in its place where only a lower limit could be told. `own` quantities want a tape that
    the deck itself has recorded, which no sound tells: a recording answers them only where it was
    made for them. `otherwise` is the key of a figure that is there where the first may be wrong as
    a whole, and then has the other value that it can have.
    """

    what: str
    key: str
    unit: str
    unsigned: bool = False
    at_least: str = ""
    own: bool = False
    otherwise: str = ""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of measurement: what it tells, and what must be on the recording."""

    says: str
    needs: str


KINDS: Mapping[str, Kind] = {
    "speed": Kind("Speed", "a steady test tone, the longer the better"),
    "flutter": Kind("Wow and flutter", "a steady test tone of 3000 or 3150 Hz, 30 s or more"),
    "azimuth": Kind("Azimuth", "both channels: high tones, noise or music of a reference tape"),
    "response": Kind("Response", "stepped tones, a sweep or noise of a test tape"),
    "level": Kind("Level and balance", "a tone on both channels, or in one for the separation"),
    "noise": Kind("Noise", "the deck in play with nothing recorded"),
    "hum": Kind("Hum", "the deck running without signal, 10 s or more"),
    "distortion": Kind("Distortion", "a steady tone of 315 to 1000 Hz at full level"),
    "dropouts": Kind("Dropouts and crackle", "a steady tone, a minute or more"),
    "erase": Kind("Erasure", "a loud tone, then the stretch in which it was erased"),
}
"""The kinds of measurement, in the order in which they are offered."""


QUANTITIES: Mapping[str, FigureOf] = {
    "speed_error": FigureOf(
        "speed", "speed_error_percent", "%", otherwise="speed_error_otherwise_percent"
    ),
    "wow_weighted": FigureOf("flutter", "weighted_wow_peak_percent", "%"),
    "flutter_weighted": FigureOf("flutter", "weighted_flutter_peak_percent", "%"),
    "channel_difference": FigureOf("level", "balance_db", "dB", unsigned=True),
    "phase_at_10_khz": FigureOf("azimuth", "phase_at_10_khz_deg", "deg", unsigned=True),
    "erasure": FigureOf("erase", "erase_depth_db", "dB", at_least="erase_depth_at_least_db"),
    "record_treble_error": FigureOf("response", "response_315_to_10k_db", "dB", own=True),
}
"""The quantities of measuring checks that a recording can tell."""


RATES: Mapping[str, str] = {
    "capstan": "line_at_capstan_rate",
    "flywheel": "line_at_capstan_rate",
    "pinch roller": "line_at_roller_rate",
    "capstan belt": "line_at_belt_rate",
    "motor": "line_at_motor_rate",
    "motor pulley": "line_at_motor_rate",
    "drive idler": "line_at_idler_rate",
    "supply hub": "wow_at_hub_rate",
    "take-up hub": "wow_at_hub_rate",
    "take-up idler": "line_at_idler_rate",
}
"""By a turning part to which flutter is matched: the sign of the book that it has its rate."""
NO_PART = "unknown"
"""What flutter is matched to that fits none of them."""
RATE_KEY, SHARE_KEY = "flutter_rate_hz", "flutter_line_share_at_most_percent"
SURE, LIKELY = 0.95, 0.7
"""Chances from which an answer that names a part is certain, and from which it is fairly sure."""
LITTLE, HALF = 10.0, 50.0
"""Percent of the flutter that a rate may have for 'no rate' to be certain, and to be fairly sure: a
part at fault makes most of it (judgement)."""


def kind_says(what: str) -> str:
    """A kind of measurement in words; one that is not known is told as it is called."""
    return KINDS[what].says if what in KINDS else what.capitalize()


def measured_by(check: Check) -> str:
    """The measurement whose figures answer a check; empty if no recording can."""
    told = _figure_of(check)
    if told is None:
        return "flutter" if _asks_for_a_part(check) else ""
    return told.what


def is_told(check: Check) -> bool:
    """Whether any recording with its figure answers a check, made for it or not."""
    told = _figure_of(check)
    return bool(measured_by(check)) and not (told and told.own)


def readings_of(checks: Iterable[Check], deck: Deck, found: Measurement) -> tuple[Reading, ...]:
    """What a measurement says to those of these checks that fit the deck and that it can answer."""
    readings = []
    for check in checks:
        told = _figure_of(check)
        if _asks_for_a_part(check) and fits(check.where, deck.traits):
            readings += _readings_of_part(check, found)
        if told is None or told.what != found.what or not fits(check.where, deck.traits):
            continue
        for figure in found.figures:
            reading = None
            if figure.key == told.key:
                reading = _in_doubt(check, told, found, _reading(check, told, figure))
            elif figure.key == told.at_least:
                reading = _reading_of_limit(check, told, figure)
            readings += [reading] if reading else []
    return tuple(readings)


def _figure_of(check: Check) -> FigureOf | None:
    if check.measures is None:
        return None
    told = QUANTITIES.get(check.measures.quantity)
    return told if told and told.unit == check.measures.unit else None


def _asks_for_a_part(check: Check) -> bool:
    """Whether a check asks at the rate of which part the pitch wavers."""
    named = [sign for sign in check.signs if sign in RATES.values()]
    return check.measures is None and len(named) > 1


def _readings_of_part(check: Check, found: Measurement) -> list[Reading]:
    """The answer that has the part's rate, or the one of no rate, if that is likely enough."""
    told = {figure.key: figure for figure in found.figures if isfinite(figure.value)}
    none = next((name for name, answer in check.answers.items() if not answer.present), None)
    if RATE_KEY in told:
        return _reading_of_part(check, told[RATE_KEY], found.likely, none)
    if SHARE_KEY in told and none is not None and told[SHARE_KEY].value <= HALF:
        sure: Sure = "certain" if told[SHARE_KEY].value <= LITTLE else "fairly"
        share = told[SHARE_KEY]
        reading = Reading(
            check=check.id, value=share.value, unit=share.unit, answer=str(none), sure=sure
        )
        return [reading]
    return []


def _reading_of_part(
    check: Check, rate: Figure, likely: Iterable[tuple[str, float]], none: Name | None
) -> list[Reading]:
    """What fits no part is the answer of no rate; it is fairly sure at most, for parts differ."""
    chances = {
        name: sum(p for part, p in likely if RATES.get(part) in answer.present)
        for name, answer in check.answers.items()
    }
    if none is not None:
        chances[none] = dict(likely).get(NO_PART, 0.0)
    best = max(chances, key=lambda name: chances[name])
    if chances[best] < LIKELY:
        return []
    sure: Sure = "certain" if chances[best] >= SURE and best != none else "fairly"
    return [Reading(check=check.id, value=rate.value, unit=rate.unit, answer=str(best), sure=sure)]


def _reading(check: Check, told: FigureOf, figure: Figure) -> Reading | None:
    """The answer that holds the value, certain if its band holds the whole 95 % interval."""
    value, within = figure.value, figure.uncertainty
    low, high = value - within, value + within
    if told.unsigned:
        straddles = low < 0 < high
        low, high = sorted((abs(low), abs(high)))
        value, low = abs(value), 0.0 if straddles else low
    if not (isfinite(low) and isfinite(high)):
        return None
    answer = check.answer_for(value)
    if answer is None:
        return None
    met = {check.answer_for(at) for at in (low, high, *_around_borders(check, low, high))}
    sure: Sure = "certain" if met == {answer} else "fairly"
    return Reading(check=check.id, value=value, unit=told.unit, answer=str(answer), sure=sure)


def _in_doubt(
    check: Check, told: FigureOf, found: Measurement, reading: Reading | None
) -> Reading | None:
    """The same reading; weaker, or none, where the figure may have another value altogether."""
    other = next((figure for figure in found.figures if figure.key == told.otherwise), None)
    if other is None or reading is None:
        return reading
    also = _reading(check, told, other)
    if also is not None and also.answer == reading.answer:
        return reading if also.sure == "certain" else replace(reading, sure=also.sure)
    chance = max((p for _, p in found.likely), default=0.0)
    return replace(reading, sure="fairly") if chance >= LIKELY else None


def _reading_of_limit(check: Check, told: FigureOf, figure: Figure) -> Reading | None:
    """The answer that holds everything from a lower limit up; none if several might."""
    low = figure.value - figure.uncertainty
    met = {check.answer_for(at) for at in (low, sys.float_info.max)}
    met |= {check.answer_for(at) for at in _around_borders(check, low, inf)}
    (answer, *others) = met
    if answer is None or others:
        return None
    return Reading(check=check.id, value=figure.value, unit=told.unit, answer=str(answer))


def _around_borders(check: Check, low: float, high: float) -> Iterator[float]:
    """Values on and beside each border of a band within an interval: a band may be narrow."""
    for answer in check.answers.values():
        for border in (answer.below, answer.above):
            if border is not None and low < border < high:
                yield from (nextafter(border, -inf), border, nextafter(border, inf))


def kept_figures(found: Measurement) -> tuple[Figure, ...]:
    """The figures that can be written down: a level of nothing at all has no number."""
    return tuple(
        figure
        for figure in found.figures
        if isfinite(figure.value) and isfinite(figure.uncertainty)
    )


def kept_curves(found: Measurement) -> tuple[Curve, ...]:
    """The curves, thinned to what a page can show; one without a point to show is left out."""
    return tuple(curve for each in found.curves if (curve := _thinned(each)) is not None)


def kept_likely(found: Measurement) -> tuple[Likely, ...]:
    """The chances of what may be behind it."""
    return tuple(Likely(says=says, chance=min(max(p, 0.0), 1.0)) for says, p in found.likely)


def kept_name(name: str) -> str:
    """A file's name as a case can keep it: one line that acts on no terminal, not too long."""
    shown = visible(name)
    return shown if len(shown) <= LONGEST_NAME else f"...{shown[-LONGEST_NAME:]}"


def _thinned(curve: Curve) -> Curve | None:
    """Keep of every stretch of the axis the lowest and the highest point, so that peaks stay."""
    points = [
        (x, y)
        for x, y in zip(curve.x, curve.y, strict=True)
        if isfinite(x) and isfinite(y) and (x > 0 or not curve.is_log)
    ]
    if not points:
        return None
    if len(points) > MOST_POINTS:
        points = list(_extremes(points, curve.is_log))
    return replace(
        curve,
        x=tuple(_rounded(x) for x, _ in points),
        y=tuple(_rounded(y) for _, y in points),
    )


def _extremes(points: list[tuple[float, float]], is_log: bool) -> Iterator[tuple[float, float]]:
    places = [log(x) if is_log else x for x, _ in points]
    first, last = min(places), max(places)
    stretches: dict[int, list[int]] = {}
    for at, place in enumerate(places):
        share = (place - first) / (last - first) if last > first else 0.0
        stretches.setdefault(min(int(share * MOST_POINTS / 2), MOST_POINTS // 2 - 1), []).append(at)
    for stretch in sorted(stretches):
        members = stretches[stretch]
        lowest = min(members, key=lambda at: points[at][1])
        highest = max(members, key=lambda at: points[at][1])
        for at in sorted({lowest, highest}):
            yield points[at]


def _rounded(number: float) -> float:
    return float(f"{number:.{POINT_DIGITS}g}")
