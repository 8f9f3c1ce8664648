"""`benchtrail measure`: turns a capture of a deck into figures."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields
from math import isfinite, nan
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diag.errors import MeasureError
from diag.measure.test_signal import SERVED_BY
from diag.model.nearest import nearest
from diag.model.words import chance_in_words
from screens.cli.exit_codes import Exit
from screens.cli.output import say, say_wrapped
from screens.cli.places import add_knowledge, additions_root, knowledge_root

if TYPE_CHECKING:
    from diag.measure.accept import Row
    from diag.measure.catalogue import Known
    from diag.measure.result import Measurement
    from diag.measure.sound import Sound
    from diag.model.specification import Specification

ALL = "all"
CHANNELS = ("left", "right")
BAR = 30
"""Signs of the progress bar."""
LONG_SECONDS = 30.0
"""A shorter capture is gone through before a bar could be read."""

Results = Mapping[str, "Measurement | MeasureError"]


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    top = commands.add_parser(
        "measure",
        help="measure a deck from a recording of it",
        description="Measures a WAV or FLAC recording of a deck that plays a test tape. Signals of "
        "`benchtrail signal` are found in it by their lead-in; other tapes are taken as a whole. "
        "Ends with 1 if nothing could be measured, or a limit of --spec is not kept.",
    )
    top.add_argument(
        "what", nargs="?", metavar="WHAT", help=f"one of {', '.join(SERVED_BY)}, or all"
    )
    top.add_argument("file", nargs="?", type=Path, metavar="FILE", help="the recording")
    top.add_argument("--channel", choices=CHANNELS, help="take this channel only")
    _add_known(top)
    top.add_argument(
        "--spec",
        metavar="NAME",
        help="limits to hold the figures against, and sizes of the deck: a name, or a YAML file "
        "(default din_45500)",
    )
    top.add_argument(
        "--before",
        type=Path,
        metavar="FILE",
        help="a recording from before the repair, shown beside this one",
    )
    top.add_argument("--json", action="store_true", help="print the figures as JSON")
    add_knowledge(top)
    top.set_defaults(run=run)


def _add_known(top: argparse.ArgumentParser) -> None:
    """What is known besides the capture."""
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


def run(arguments: argparse.Namespace) -> int:
    """List, or measure and print.

    Raises:
        BenchtrailError: no such measurement, or it can't be made of this recording.
    """
    what = arguments.what
    if what is None:
        _list(arguments.json)
        return Exit.DONE
    if what not in (*SERVED_BY, ALL):
        raise MeasureError(
            f"there is no measurement '{what}'.", do=nearest(what, (*SERVED_BY, ALL))
        )
    if arguments.file is None:
        raise MeasureError("no recording is named.", do=f"benchtrail measure {what} FILE")
    specification = _specification(arguments)
    known = _known(arguments, specification)
    after = _measured(arguments, arguments.file, known)
    before = _measured(arguments, arguments.before, known) if arguments.before else {}
    rows = _judged(before, after, specification)
    if arguments.json:
        say(json.dumps(_as_json(arguments, after, before, rows), indent=2, allow_nan=False))
    else:
        _tell(after, before)
        _tell_rows(specification, rows)
    has_failed = arguments.spec is not None and any(row.verdict == "fail" for row in rows)
    return Exit.PROBLEMS if has_failed or not _good(after) else Exit.DONE


def _list(as_json: bool) -> None:
    from diag.session.measured import KINDS

    if as_json:
        listed = [
            {"name": what, "says": KINDS[what].says, "needs": KINDS[what].needs}
            for what in SERVED_BY
        ]
        say(json.dumps(listed, indent=2))
        return
    for what in SERVED_BY:
        say(f"{what:<11} {KINDS[what].says}: {KINDS[what].needs}")


def _specification(arguments: argparse.Namespace) -> Specification:
    from diag.reading.specification import FALLBACK, find_specification

    name = arguments.spec or FALLBACK
    return find_specification(knowledge_root(arguments), name, additions_root(arguments))


def _measured(arguments: argparse.Namespace, path: Path, known: Known) -> Results:
    """What was found in a recording, by name.

    Raises:
        BenchtrailError: it can't be read, or the one measurement that is asked can't be made.
    """
    from diag.measure.catalogue import measure, measure_all
    from diag.session.listening import named

    sound = _opened(path, arguments.channel)
    with named(path):
        if arguments.what == ALL:
            return measure_all(sound, known)
        return {arguments.what: measure(arguments.what, sound, known)}


def _opened(path: Path, channel: str | None = None) -> Sound:
    """A recording that shows a bar while it is read, if it is long and somebody looks on."""
    from diag.measure.capture import open_capture
    from diag.measure.excerpt import one_channel
    from diag.measure.sound import seconds
    from diag.session.listening import Watch, Watched

    sound: Sound = open_capture(path)
    if sys.stderr.isatty() and seconds(sound) > LONG_SECONDS:
        sound = Watched(sound, Watch(_bar(path.name)))
    return sound if channel is None else one_channel(sound, CHANNELS.index(channel), str(path))


def _known(arguments: argparse.Namespace, specification: Specification) -> Known:
    """What is known; a size that is given by itself counts before that of the specification."""
    from diag.measure.catalogue import Known
    from diag.measure.geometry import Geometry
    from diag.reading.test_tape import find_tape
    from diag.session.beside import READ_WITHIN

    root, additions = knowledge_root(arguments), additions_root(arguments)
    given: dict[str, Any] = {str(key): size for key, size in specification.sizes.items()}
    return Known(
        nominal_hz=arguments.nominal,
        tape=find_tape(root, arguments.tape, additions) if arguments.tape else None,
        reference=_opened(arguments.reference) if arguments.reference else None,
        reference_dbfs=arguments.reference_level,
        mains_hz=arguments.mains,
        speed_error_percent=(
            None if arguments.speed_error is None else (arguments.speed_error, READ_WITHIN)
        ),
        card=_opened(arguments.card) if arguments.card else None,
        geometry=Geometry(**(given | sizes(arguments.deck))),
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


def _bar(name: str) -> Callable[[float], None]:
    """A bar of how far this pass through the recording is; it is wiped at the end of each."""

    def told(share: float) -> None:
        full = round(BAR * share)
        line = f"\r[{'#' * full}{'.' * (BAR - full)}] {name}"
        sys.stderr.write(line if share < 1 else "\r" + " " * len(line) + "\r")
        sys.stderr.flush()

    return told


def _judged(before: Results, after: Results, specification: Specification) -> tuple[Row, ...]:
    """Rows of the limits of which something was measured."""
    from diag.measure.accept import judged

    rows = judged(_good(before).values(), _good(after).values(), specification)
    return tuple(row for row in rows if row.before or row.after)


def _good(results: Results) -> Mapping[str, Measurement]:
    return {what: one for what, one in results.items() if not isinstance(one, MeasureError)}


def _refused(results: Results) -> Mapping[str, MeasureError]:
    return {what: one for what, one in results.items() if isinstance(one, MeasureError)}


def _tell(after: Results, before: Results) -> None:
    """Figures, chances and remarks of each measurement, then what could not be measured."""
    from diag.session.measured import kind_says
    from diag.trail.words import figure_words

    was = _good(before)
    for what, found in _good(after).items():
        say(kind_says(what))
        old = {figure.key: figure for figure in was[what].figures} if what in was else {}
        for figure in found.figures:
            words = figure_words(figure.value, figure.uncertainty, figure.unit)
            if figure.key in old:
                then = old[figure.key]
                words += f" (before: {figure_words(then.value, then.uncertainty, then.unit)})"
            say_wrapped(f"{figure.says}: {words}", "  ")
        for says, chance in found.likely:
            say_wrapped(f"{chance_in_words(chance)} {says}", "    ")
        for remark in found.remarks:
            say_wrapped(remark, "  ")
        say()
    for what, error in _refused(after).items():
        say_wrapped(f"No {what}: {error}")


def _tell_rows(specification: Specification, rows: Iterable[Row]) -> None:
    from diag.trail.words import figure_words

    if not rows:
        return
    say(f"Against: {specification.says} ({specification.source})")
    for row in rows:
        words = f"{row.says}, {row.wanted}: {row.verdict}"
        if row.margin is not None and row.after is not None:
            words += f", margin {figure_words(row.margin, row.after.uncertainty, row.unit)}"
        if row.before is not None:
            words += f"; before: {row.was}"
        say_wrapped(words, "  ")


def _as_json(
    arguments: argparse.Namespace, after: Results, before: Results, rows: Iterable[Row]
) -> dict[str, Any]:
    """One measurement as it is, or all by name; what it was held against only if that was named."""
    if arguments.what == ALL:
        plain = _all_as_json(after)
        if before:
            plain["before"] = _all_as_json(before)
    else:
        plain = finite(_good(after)[arguments.what].as_json())
        if before:
            plain["before"] = finite(_good(before)[arguments.what].as_json())
    if arguments.spec:
        plain["judged"] = [
            {
                "figure": row.key,
                "wanted": row.wanted,
                "verdict": row.verdict,
                "before": row.was,
                "margin": row.margin,
                "unit": row.unit,
                "source": row.source,
            }
            for row in rows
        ]
    return plain


def _all_as_json(results: Results) -> dict[str, Any]:
    plain: dict[str, Any] = {
        what: finite(found.as_json()) for what, found in _good(results).items()
    }
    plain["refused"] = {what: str(error) for what, error in _refused(results).items()}
    return plain


def finite(plain: Mapping[str, Any]) -> dict[str, Any]:
    """Without what JSON has no number for: the level of nothing at all is told as null."""
    return {
        key: None if isinstance(value, float) and value - value != 0 else value
        for key, value in plain.items()
    }
