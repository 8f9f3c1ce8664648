"""Numbers with a unit, as people type them and as they are shown.

Point or comma as the decimal sign, fractions (1 7/8), a prefix alone (10k) or in place of the point
(4k7), and every unit of `diag.model.units`.
"""

from __future__ import annotations

import re
from math import floor, isfinite, log10
from unicodedata import normalize

from diag.errors import BenchtrailError
from diag.model.units import BARE_PREFIXES, BY_SYMBOL, PREFIXES, UNITS, Unit, of_kind

LONGEST = 60
"""Characters; nobody types a longer number, and none is read."""

_SIGN = r"(?P<sign>[+-]?)\s*"
_FRACTION = re.compile(
    _SIGN + r"(?:(?P<whole>\d+)\s+)?(?P<over>\d+)\s*/\s*(?P<under>\d+)(?P<rest>.*)", re.ASCII
)
_INFIX = re.compile(
    _SIGN + r"(?P<whole>\d+)(?P<letter>[pnumkMR])(?P<part>\d+)(?P<rest>.*)", re.ASCII
)
_DECIMAL = re.compile(
    _SIGN + r"(?P<number>(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?)(?P<rest>.*)", re.ASCII
)
_THOUSANDS = re.compile(r"[1-9]\d{0,2},\d{3}", re.ASCII)


def parse(text: str, unit: Unit) -> float:
    """What somebody typed, as a number of `unit`; a bare number counts as one of it already.

    Raises:
        BenchtrailError: no number, an ambiguous one, or a unit that is unknown or of another kind.
    """
    plain = _plain(text)
    number, typed = _split(plain, text, unit)
    if not typed:
        return number
    found = _unit(typed, text, unit)
    try:
        value = unit.from_base(found.to_base(number))
    except (ValueError, OverflowError):
        value = float("nan")
    if not isfinite(value):
        raise BenchtrailError(f"'{text}' can't be told in {unit.symbol}.", do=takes(unit))
    return value


def takes(unit: Unit) -> str:
    """A sentence that tells which units are taken."""
    if not unit.symbol:
        return "Give a number."
    symbols = ", ".join(other.symbol for other in of_kind(unit.kind))
    return f"Give a number in {symbols}; without a unit it counts as {unit.symbol}."


def shown(value: float, unit: Unit, digits: int = 4) -> str:
    """A value to so many figures with its unit, as `parse` reads it again."""
    return f"{figure(value, digits)} {unit.symbol}".rstrip()


def figure(value: float, digits: int = 4) -> str:
    """A number to so many figures; whole digits are never dropped, trailing noughts are."""
    if not value:
        return "0"
    size = floor(log10(abs(value)))
    if not -7 < size < 12:
        return f"{value:.{digits - 1}e}"
    text = f"{value:.{max(0, digits - 1 - size)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _plain(text: str) -> str:
    """In one spelling: signs, micro, ohm and small fractions as people and keyboards vary them."""
    if len(text) > LONGEST:
        raise BenchtrailError(
            f"{len(text)} characters are too long for a number.", do="Give one number and its unit."
        )
    parted = re.sub(r"(?<=\d)(?=[¼½¾⅐-⅞])", " ", text)
    plain = normalize("NFKC", parted).translate(
        {0x2044: "/", 0x2212: "-", 0x2013: "-", 0x03BC: "u", 0x03A9: "ohm", 0x0394: None}
    )
    return plain.strip()


def _split(plain: str, text: str, unit: Unit) -> tuple[float, str]:
    """The number, and what stands behind it as typed."""
    if match := _FRACTION.fullmatch(plain):
        under = int(match["under"])
        if not under:
            raise BenchtrailError(f"'{text}' divides by zero.", do=takes(unit))
        value = (int(match["whole"] or 0) * under + int(match["over"])) / under
    elif (match := _INFIX.fullmatch(plain)) and _may_stand_alone(match["letter"], unit):
        factor = PREFIXES.get(match["letter"], 1.0)
        base = float(f"{match['whole']}.{match['part']}") * factor
        rest = match["rest"].strip()
        value = base if rest else unit.from_base(base)
    elif match := _DECIMAL.fullmatch(plain):
        written = match["number"]
        if _THOUSANDS.fullmatch(written):
            point, whole = written.replace(",", "."), written.replace(",", "")
            raise BenchtrailError(
                f"'{text}' may be {point} or {whole}.", do=f"Write {point} or {whole}."
            )
        value = float(written.replace(",", "."))
    else:
        raise BenchtrailError(f"'{text}' is no number.", do=takes(unit))
    if not isfinite(value):
        raise BenchtrailError(f"'{text}' is too large a number.", do=takes(unit))
    return (-value if match["sign"] == "-" else value), match["rest"].strip()


def _may_stand_alone(letter: str, unit: Unit) -> bool:
    """Whether a prefix needs no unit behind it in this kind; R is the point of an ohm figure."""
    return letter in BARE_PREFIXES.get(unit.kind, "") or (
        letter == "R" and unit.kind == "resistance"
    )


def _unit(typed: str, text: str, wanted: Unit) -> Unit:
    """The unit that was typed, of the wanted kind."""
    if len(typed) == 1 and typed != "R" and _may_stand_alone(typed, wanted):
        return Unit(typed, wanted.kind, PREFIXES[typed])
    if found := _named(typed, of_kind(wanted.kind)):
        return found
    if other := _named(typed, UNITS):
        what = f"'{text}' is a {other.kind}, but a {wanted.kind} is asked."
    else:
        what = f"'{typed}' in '{text}' is no unit that is known here."
    raise BenchtrailError(what, do=takes(wanted))


def _named(typed: str, among: tuple[Unit, ...]) -> Unit | None:
    """The unit of this spelling; letters of the wrong case count if only one unit can be meant."""
    wanted = _spelling(typed)
    exact = [unit for unit in among if wanted in _spellings(unit)]
    if exact:
        return exact[0]
    loose = [
        unit for unit in among if wanted.lower() in {name.lower() for name in _spellings(unit)}
    ]
    return loose[0] if len(loose) == 1 else None


def _spellings(unit: Unit) -> set[str]:
    return {_spelling(name) for name in (unit.symbol, *unit.aliases)} - {""}


def _spelling(name: str) -> str:
    """Without what stands between the parts of a product, and micro as `u`."""
    return re.sub(r"[\s.·⋅*-]", "", name.replace("µ", "u").replace("μ", "u"))


def unit(symbol: str) -> Unit:
    """The unit of a symbol.

    Raises:
        KeyError: there is none; symbols are written by us, not typed.
    """
    return BY_SYMBOL[symbol]
