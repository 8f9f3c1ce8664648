"""`benchtrail signal`: writes the signals for a test tape of one's own."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from screens.cli.exit_codes import Exit
from screens.cli.output import say, say_wrapped, tell

if TYPE_CHECKING:
    from diag.measure.test_signal import Signal

ALL = "all"
RATE_HZ = 48_000


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    top = commands.add_parser(
        "signal",
        help="write a test signal to record on a deck of known good speed",
        description="Writes tones, sweeps and noise as a WAV file of 24 bits, to be recorded on a "
        "deck of known good speed. Each begins with three short tones by which `benchtrail "
        "measure` finds it again.",
    )
    top.add_argument(
        "name", nargs="?", metavar="NAME", help="the signal, or 'all'; without it, they are listed"
    )
    top.add_argument(
        "file",
        nargs="?",
        type=Path,
        metavar="FILE",
        help="the WAV file to write; without it, the signal is explained",
    )
    top.add_argument(
        "--rate",
        type=int,
        default=RATE_HZ,
        metavar="HZ",
        help=f"samples in a second: 44100, 48000, 88200, 96000 or 192000 (default {RATE_HZ})",
    )
    top.add_argument("--force", action="store_true", help="write over a file that is there")
    top.add_argument("--json", action="store_true", help="list or explain as JSON")
    top.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """List, explain or write.

    Raises:
        BenchtrailError: no such signal or rate, or it can't be written there.
    """
    from diag.measure.test_signal import HOW_TO_RECORD, SIGNALS, signal_named

    name = arguments.name
    signals = list(SIGNALS.values()) if name in (None, ALL) else [signal_named(name)]
    if arguments.file is not None:
        _write(arguments, signals)
    if arguments.json:
        say(json.dumps([as_json(signal) for signal in signals], indent=2))
    elif name is None:
        for signal in signals:
            say(f"{signal.name:<11} {minutes(signal.seconds):>5}  {signal.says}")
        say(f"{ALL:<11} {minutes(sum(signal.seconds for signal in signals)):>5}  one after another")
    else:
        for signal in signals:
            explain(signal)
            say()
        for sentence in HOW_TO_RECORD:
            say_wrapped(sentence)
    return Exit.DONE


def _write(arguments: argparse.Namespace, signals: list[Signal]) -> None:
    # Inside, so that no other command has to wait for numpy.
    from diag.measure.capture import check_may_write, write_capture
    from diag.measure.signals import tape_of
    from diag.measure.sound import seconds

    check_may_write(arguments.file, replaces=arguments.force)
    sound = tape_of(tuple(signal.name for signal in signals), arguments.rate)
    write_capture(arguments.file, sound, replaces=arguments.force)
    tell(f"Written to {arguments.file}: {minutes(seconds(sound))} min at {sound.rate_hz} Hz.")


def explain(signal: Signal) -> None:
    """What a signal is, what it serves for, and what it can't show."""
    say_wrapped(f"{signal.name}: {signal.says} ({minutes(signal.seconds)} min).")
    say_wrapped(f"For: {', '.join(signal.serves)}.", "  ")
    say_wrapped(f"It shows: {signal.proves}", "  ")
    say_wrapped(f"It can't show: {signal.cannot}", "  ")


def as_json(signal: Signal) -> dict[str, Any]:
    """A signal for `--json`."""
    return {
        "name": signal.name,
        "says": signal.says,
        "seconds": signal.seconds,
        "serves": list(signal.serves),
        "proves": signal.proves,
        "cannot": signal.cannot,
    }


def minutes(seconds: float) -> str:
    """Minutes and seconds, as in `2:05`."""
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02}"
