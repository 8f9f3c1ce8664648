"""What a call of `benchtrail measure` says besides the recording."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Mapping
from dataclasses import fields
from math import isfinite, nan
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diag.errors import MeasureError
from diag.model.nearest import nearest

if TYPE_CHECKING:
    from collections.abc import Callable

    from diag.measure.sound import Sound
    from diag.model.figures import Name
    from diag.model.test_tape import TestTape
    from diag.session.beside import Given

CHANNELS = ("left", "right")


def add_given(top: argparse.ArgumentParser) -> None:
    """Declare what may be said."""
    top.add_argument("--channel", choices=CHANNELS, help="take this channel only")
    top.add_argument(
        "--nominal", type=frequency, metavar="HZ", help="the tone that is on the tape, if not usual"
    )
    top.add_argument(
        "--tape",
        metavar="NAME",
        help="the test tape, for response: a name such as stepped_tones_120_us, or a YAML file",
    )
    top.add_argument(
        "--speed-error",
        type=number,
        metavar="PERCENT",
        help="how much too fast the deck runs, minus for slow, for the azimuth of a foreign tape",
    )
    top.add_argument(
        "--reference",
        type=Path,
        metavar="FILE",
        help="a recording of the reference level, with the recorder set as for the other",
    )
    top.add_argument(
        "--reference-level",
        type=number,
        metavar="DB",
        help="that level itself, in dB re a sine that fills the scale",
    )
    top.add_argument(
        "--mains", type=frequency, metavar="HZ", help="50 or 60, if hum is not to tell it by itself"
    )
    top.add_argument(
        "--card",
        type=Path,
        metavar="FILE",
        help="the tone straight from the sound card into itself, for distortion",
    )
    top.add_argument(
        "--deck",
        action="append",
        default=[],
        metavar="KEY=VALUE",
        help="a size of a turning part, for the source of flutter, such as capstan_mm=2.4, "
        "drive=belt or speed_mm_s=190.5; may be given several times",
    )


def number(text: str) -> float:
    """A finite number."""
    try:
        found = float(text)
    except ValueError:
        found = nan
    if not isfinite(found):
        raise argparse.ArgumentTypeError(f"'{text}' is no number")
    return found


def frequency(text: str) -> float:
    """A number above 0."""
    found = number(text)
    if found <= 0:
        raise argparse.ArgumentTypeError(f"'{text}' is no frequency; give Hz above 0")
    return found


def given_of(
    arguments: argparse.Namespace,
    tape: TestTape | None,
    opened: Callable[[Path], Sound],
    sized: Mapping[Name, float],
) -> Given:
    """What the call says; a size that is given by itself counts before those of `sized`.

    `tape` is the test tape that it names, `opened` opens the recordings that it names.

    Raises:
        BenchtrailError: a size can't be, or a file that is named can't be read.
    """
    from diag.session.beside import READ_WITHIN, Given

    error = arguments.speed_error
    return Given(
        tape=tape,
        nominal_hz=arguments.nominal,
        speed_error_percent=None if error is None else (error, READ_WITHIN),
        mains_hz=arguments.mains,
        reference=opened(arguments.reference) if arguments.reference else None,
        reference_dbfs=arguments.reference_level,
        card=opened(arguments.card) if arguments.card else None,
        sizes={**{str(key): size for key, size in sized.items()}, **sizes(arguments.deck)},
        channel=CHANNELS.index(arguments.channel) if arguments.channel else None,
    )


def sizes(given: Iterable[str]) -> dict[str, Any]:
    """Sizes of turning parts by their key.

    Raises:
        BenchtrailError: one is no KEY=VALUE, no size that is known of, or no number.
    """
    from diag.measure.geometry import Geometry

    keys = [field.name for field in fields(Geometry)]
    found: dict[str, Any] = {}
    for word in given:
        key, _, value = word.partition("=")
        if key not in keys:
            raise MeasureError(f"'{key}' is no size of a deck.", do=nearest(key, keys))
        try:
            found[key] = value if key == "drive" else float(value)
        except ValueError as error:
            raise MeasureError(
                f"'{word}' has no number.", do=f"Write it as {key}=2.5, without its unit."
            ) from error
    return found
