"""`benchtrail measure`: turns a capture of a deck into figures."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

from diag.errors import MeasureError
from diag.measure.test_signal import SERVED_BY
from diag.model.nearest import nearest
from diag.model.words import chance_in_words
from screens.cli import measure_case
from screens.cli.exit_codes import Exit
from screens.cli.measure_given import add_given, given_of
from screens.cli.output import say, say_wrapped
from screens.cli.places import add_knowledge, additions_root, knowledge_root, shelf_of

if TYPE_CHECKING:
    from diag.cases.held_against import HeldAgainst
    from diag.measure.accept import Row
    from diag.measure.result import Measurement
    from diag.measure.sound import Sound
    from diag.model.specification import Specification
    from diag.session.beside import Beside
    from diag.session.listening import HeardAll, Watch
    from diag.session.session import Session

    Limits: TypeAlias = Specification | HeldAgainst

ALL = "all"
BAR = 30
"""Signs of the progress bar."""
LONG_SECONDS = 30.0
"""A shorter capture is gone through before a bar could be read."""


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
    add_given(top)
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
    measure_case.add_case(top)
    add_knowledge(top)
    top.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """List, or measure and print.

    Raises:
        BenchtrailError: no such measurement, or it can't be made of this recording.
    """
    measure_case.check(arguments)
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
    session = shelf_of(arguments).reopen(arguments.case) if arguments.case else None
    specification = _specification(arguments)
    measured = _measured_by(arguments, specification, session)
    after = measured(arguments.file)
    before = measured(arguments.before) if arguments.before else None
    case = measure_case.ToCase(session, after, arguments.take) if session else None
    limits = _limits(arguments, specification, session)
    rows = _judged(before, after, limits)
    if arguments.json:
        plain = _as_json(arguments, after, before, rows)
        if case:
            case.put_down()
            plain["case"] = case.as_json()
        say(json.dumps(plain, indent=2, allow_nan=False))
    else:
        _tell(after, before)
        _tell_rows(limits, rows)
        if case:
            case.tell()
            case.put_down()
    has_failed = arguments.spec is not None and any(row.verdict == "fail" for row in rows)
    return Exit.PROBLEMS if has_failed or not after.heard else Exit.DONE


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


def _measured_by(
    arguments: argparse.Namespace, specification: Specification, session: Session | None
) -> Callable[[Path], HeardAll]:
    """What measures a recording with all that the call and the case know.

    Raises:
        BenchtrailError: something that is known can't be used.
    """
    from diag.reading.test_tape import find_tape
    from diag.session.beside import Beside
    from screens.heard import hear

    root, additions = knowledge_root(arguments), additions_root(arguments)
    tape = find_tape(root, arguments.tape, additions) if arguments.tape else None
    sized = specification.sizes if arguments.spec or session is None else {}
    given = given_of(arguments, tape, _opened, sized)
    what = arguments.what
    if session is None:
        return lambda path: _heard(what, path, Beside(given=given))
    return lambda path: hear(session, what, path, given=given, watch=_watch(path))


def _heard(what: str, path: Path, beside: Beside) -> HeardAll:
    """What a recording holds that belongs to no case.

    Raises:
        BenchtrailError: it can't be read, or the one measurement that is asked can't be made.
    """
    from diag.session.listening import Heard, heard_all, listen, listen_to_all, named

    with named(path):
        watch = _watch(path)
        if what == ALL:
            found = dict(listen_to_all(path, watch, beside))
        else:
            found = {what: listen(what, path, watch, beside)}
    return heard_all(found, lambda one: Heard(one.what, path.name, one, ()))


def _opened(path: Path) -> Sound:
    from diag.session.listening import opened

    return opened(path, _watch(path))


def _watch(path: Path) -> Watch:
    """Shows a bar while a recording is gone through, if it is long and somebody looks on."""
    from diag.measure.capture import open_capture
    from diag.measure.sound import seconds
    from diag.session.listening import Watch

    if sys.stderr.isatty() and seconds(open_capture(path)) > LONG_SECONDS:
        return Watch(_bar(path.name))
    return Watch()


def _bar(name: str) -> Callable[[float], None]:
    """A bar of how far this pass through the recording is; it is wiped at the end of each."""

    def told(share: float) -> None:
        full = round(BAR * share)
        line = f"\r[{'#' * full}{'.' * (BAR - full)}] {name}"
        sys.stderr.write(line if share < 1 else "\r" + " " * len(line) + "\r")
        sys.stderr.flush()

    return told


def _limits(
    arguments: argparse.Namespace, specification: Specification, session: Session | None
) -> Limits:
    """What the figures are held against: what the call names, else what the case has chosen."""
    chosen = session.snapshot.state.held_against if session and not arguments.spec else None
    return chosen or specification


def _judged(before: HeardAll | None, after: HeardAll, limits: Limits) -> tuple[Row, ...]:
    """Rows of the limits of which something was measured."""
    from diag.measure.accept import judged

    rows = judged(_good(before).values(), _good(after).values(), limits)
    return tuple(row for row in rows if row.before or row.after)


def _good(results: HeardAll | None) -> Mapping[str, Measurement]:
    return {heard.what: heard.found for heard in results.heard} if results else {}


def _tell(after: HeardAll, before: HeardAll | None) -> None:
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
    for what, why in after.refused:
        say_wrapped(f"No {what}: {why}")


def _tell_rows(limits: Limits, rows: Iterable[Row]) -> None:
    from diag.trail.words import figure_words

    if not rows:
        return
    say(f"Against: {limits.says} ({limits.source})")
    for row in rows:
        words = f"{row.says}, {row.wanted}: {row.verdict}"
        if row.margin is not None and row.after is not None:
            words += f", margin {figure_words(row.margin, row.after.uncertainty, row.unit)}"
        if row.before is not None:
            words += f"; before: {row.was}"
        say_wrapped(words, "  ")


def _as_json(
    arguments: argparse.Namespace, after: HeardAll, before: HeardAll | None, rows: Iterable[Row]
) -> dict[str, Any]:
    """One measurement as it is, or all by name; what it was held against only if that was named."""
    if arguments.what == ALL:
        plain = _all_as_json(after)
        if before is not None:
            plain["before"] = _all_as_json(before)
    else:
        plain = finite(_good(after)[arguments.what].as_json())
        if before is not None:
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


def _all_as_json(results: HeardAll) -> dict[str, Any]:
    plain: dict[str, Any] = {
        what: finite(found.as_json()) for what, found in _good(results).items()
    }
    plain["refused"] = dict(results.refused)
    return plain


def finite(plain: Mapping[str, Any]) -> dict[str, Any]:
    """Without what JSON has no number for: the level of nothing at all is told as null."""
    return {
        key: None if isinstance(value, float) and value - value != 0 else value
        for key, value in plain.items()
    }
