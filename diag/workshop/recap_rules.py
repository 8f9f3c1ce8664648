"""What replaces a capacitor: value, voltage and kind, each by a rule that names its standing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from diag.model.quantity import figure
from diag.workshop.capacitors import preferred
from diag.workshop.recap_parts import PLACES, UNTOLD, Part, Value

RATED_V = (6.3, 10, 16, 25, 35, 50, 63, 80, 100, 160, 200, 250, 350, 400, 450)
"""Of electrolytics as they are sold; from memory."""
FILM_V = (63, 100, 250, 400, 630)
X2_V = (275, 305, 310)
Y2_V = (250, 300)
MOTOR_RUN_V = (250, 400, 450)
"""Of film parts, and alternating for the last three; from memory."""
NEAR_PCT = 20
"""A new electrolytic may lie this far from the old one's mark: common practice."""
SAME_PCT = 5
MOTOR_RUN_PCT = 10
"""And the run capacitor of a motor this far (common practice)."""
FILM_UP_TO_UF = 1.0
"""Above this a film part is larger than an electrolytic's place; from memory."""
FILM_BOX_MM = (7.2, 10.0)
"""Length and height of a film box of that size and 5 mm pitch; from memory."""
X2_UP_TO_UF = 1.0
"""The impulse class of X2 is told up to this value."""
HOTTEST_C = 105


@dataclass(frozen=True, slots=True, kw_only=True)
class New:
    """What to fit.

    Args:
        kind: what it is, in words.
        value_uf: its value.
        voltage_v: its rating; alternating where the kind says so.
        temperature_c: its temperature class; None where the kind has no two.
        why: what differs from the old part, and by which rule.
    """

    kind: str
    value_uf: float
    voltage_v: float
    temperature_c: int | None = None
    why: tuple[str, ...] = ()


def new_for(part: Part) -> New | str:
    """What replaces a part, or why it is better left."""
    match part.place:
        case "mains":
            return _across_mains(part)
        case "mains to case":
            return _to_case(part)
        case "motor run":
            return _motor_run(part)
    if part.is_ac:
        return (
            f"marked for {figure(part.voltage_v)} V a.c., so never one for d.c. in its place. Find "
            "out what it is for and tell its place: mains, mains to case or motor run. Where local "
            "codes ask for a licensed person, leave it to one (common practice)."
        )
    if part.type in ("film", "ceramic"):
        return (
            f"{part.type} seldom ages; measure it before you change it, for every change brings "
            "faults of its own (common practice)."
        )
    if part.type == "paper" or _film_serves(part):
        return _film(part)
    return _electrolytic(part)


def _electrolytic(part: Part) -> New:
    place = PLACES[part.place or UNTOLD]
    kind = "electrolytic"
    why = []
    if part.polarity == "bipolar":
        kind = "bipolar electrolytic"
        why.append("bipolar where it was (common practice)")
    elif place.low_esr:
        kind = "electrolytic, low ESR"
        why.append("low ESR, for ripple heats it (common practice)")
    if part.type == "tantalum":
        why.append(
            "aluminium for a tantalum bead; a new bead would want twice the volts (common practice)"
        )
    if place.film and part.value_uf <= FILM_UP_TO_UF:
        why.append(f"film would want {FILM_BOX_MM[0]} by {FILM_BOX_MM[1]:g} mm (from memory)")
    if place.note:
        why.append(place.note)
    value, told = _electrolytic_value(part.value_uf, place.value)
    found = New(kind=kind, value_uf=value, voltage_v=part.voltage_v, temperature_c=HOTTEST_C)
    return _rated(part, replace(found, why=(*told, *why)), RATED_V)


def _electrolytic_value(old_uf: float, rule: Value) -> tuple[float, list[str]]:
    """The value to fit, and what it has changed by."""
    nearest, _, above, error_pct = preferred(old_uf, 6)
    if rule == "up":
        return above, _changed(old_uf, above, "E6, not below: up to half more (common practice)")
    if rule == "near" and abs(error_pct) <= NEAR_PCT + 1e-6:
        return nearest, _changed(old_uf, nearest, f"E6, within {NEAR_PCT} % (common practice)")
    finer, finer_pct = _nearest(old_uf, 12)
    told = _changed(old_uf, finer, "E12" if rule == "same" else "E12, for E6 is too far off")
    return finer, told + _too_far(rule, finer_pct)


def _film_serves(part: Part) -> bool:
    """Whether a small electrolytic's place takes a film part, and there is room for it."""
    length, height = FILM_BOX_MM
    has_room = (part.diameter_mm is None or part.diameter_mm >= length) and (
        part.height_mm is None or part.height_mm >= height
    )
    return PLACES[part.place or UNTOLD].film and part.value_uf <= FILM_UP_TO_UF and has_room


def _film(part: Part) -> New:
    value, error_pct = _nearest(part.value_uf, 12)
    why = _changed(part.value_uf, value, "E12")
    why += _too_far(PLACES[part.place or UNTOLD].value, error_pct)
    if part.type == "paper":
        why.append("film for paper, which takes up water (common practice)")
    else:
        why.append("film, which doesn't dry out (common practice)")
        if part.diameter_mm is None:
            why.append(f"if {FILM_BOX_MM[0]} by {FILM_BOX_MM[1]:g} mm are free (from memory)")
    return _rated(part, New(kind="film", value_uf=value, voltage_v=0, why=tuple(why)), FILM_V)


def _across_mains(part: Part) -> New | str:
    value, _ = _nearest(part.value_uf, 6)
    if value > X2_UP_TO_UF:
        return (
            f"X2 is told up to {X2_UP_TO_UF:g} µF; find out what this part is for before you "
            "order, or leave it to a licensed person."
        )
    why = (*_changed(part.value_uf, value, "E6"), "class X2 across the mains, no other kind")
    found = New(kind="film, class X2, AC", value_uf=value, voltage_v=0, why=why)
    return _rated_ac(part, found, X2_V)


def _to_case(part: Part) -> New:
    # What the case carries to a hand grows with the value, so that it never goes up.
    _, below, _, _ = preferred(part.value_uf, 6)
    told = _changed(part.value_uf, below, "E6, not above: touch current goes through it")
    why = (*told, "class Y2 to the case, no other kind")
    found = New(kind="film or ceramic, class Y2, AC", value_uf=below, voltage_v=0, why=why)
    return _rated_ac(part, found, Y2_V)


def _motor_run(part: Part) -> New | str:
    value, error_pct = _nearest(part.value_uf, 12)
    if abs(error_pct) > MOTOR_RUN_PCT:
        return f"no value of E12 within {MOTOR_RUN_PCT} %; order it by its mark."
    why = (*_changed(part.value_uf, value, "E12"), "never an electrolytic (common practice)")
    found = New(kind="motor run, AC", value_uf=value, voltage_v=0, why=why)
    return _rated(part, found, MOTOR_RUN_V)


def _nearest(old_uf: float, series: int) -> tuple[float, float]:
    """The nearest preferred value, and its error in percent."""
    nearest, _, _, error_pct = preferred(old_uf, series)
    return nearest, error_pct


def _too_far(rule: Value, error_pct: float) -> list[str]:
    if rule != "same" or abs(error_pct) <= SAME_PCT:
        return []
    return ["this one sets a time or a frequency: make its value up of two in parallel"]


def _changed(old_uf: float, new_uf: float, rule: str) -> list[str]:
    """What is said of a value; nothing if it stays."""
    if abs(new_uf / old_uf - 1) < 1e-6:
        return []
    return [f"{figure(old_uf)} to {figure(new_uf)} µF: {rule}; values by iec_60063"]


def _rated_ac(part: Part, new: New, ratings: Sequence[float]) -> New:
    """A class has ratings for a.c. only; a higher mark that doesn't say a.c. was one for d.c."""
    if part.is_ac or part.voltage_v <= ratings[-1]:
        return _rated(part, new, ratings)
    told = (
        f"{figure(part.voltage_v)} V is taken for a d.c. mark; the class is rated for a.c., and "
        "its rating must not be below your mains (common practice)"
    )
    return replace(new, voltage_v=ratings[-1], why=(*new.why, told))


def _rated(part: Part, new: New, ratings: Sequence[float]) -> New:
    """With the next voltage that is sold, never a lower one."""
    up = [volts for volts in ratings if volts >= part.voltage_v]
    if not up:
        told = f"nothing is sold from {figure(part.voltage_v)} V up as this kind: order by its mark"
        return replace(new, voltage_v=part.voltage_v, why=(*new.why, told))
    if up[0] == part.voltage_v:
        return replace(new, voltage_v=up[0])
    told = f"{figure(part.voltage_v)} to {figure(up[0])} V: up, never down (common practice)"
    return replace(new, voltage_v=up[0], why=(*new.why, told))
