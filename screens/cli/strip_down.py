"""`benchtrail strip-down`: what came off a deck, what went back, and what is still loose.

It refuses nothing that can be true of a deck: it writes down, and says what is loose.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, get_args

from diag.cases.taken_apart import Return
from diag.model.words import caution_says
from diag.session.taken_apart import (
    open_minutes,
    put_back,
    say_anew,
    take_off,
    taken_off_by,
    tray_at,
)
from diag.trail.loose import Loose, StrippedLayer, reassembly_order, stripped
from diag.trail.loose_words import looks_before_closing, return_words, taken_words, unaccounted
from screens.cli import case
from screens.cli.exit_codes import Exit
from screens.cli.output import say, say_wrapped, tell
from screens.cli.places import add_knowledge, add_store, shelf_of
from screens.typed_thing import HINT, KINDS, thing_of

if TYPE_CHECKING:
    from diag.session.session import Session

Run = Callable[[argparse.Namespace], int]


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    top = commands.add_parser("strip-down", help="what came off a deck, went back, and is loose")
    parts = top.add_subparsers(dest="part", metavar="PART", required=True)
    _part(parts, "list", run_list, "every layer that is open or lost something, the deepest first")
    _part(parts, "loose", run_loose, "what is not accounted for, and what to look at")
    for name, run in (("open", run_open), ("close", run_close)):
        layer = _part(parts, name, run, f"put a layer down as {name}{'d' * (name == 'close')}")
        layer.add_argument("layer", metavar="LAYER")
    off = _part(parts, "off", run_off, "put down what came off or out of its place")
    off.add_argument("layer", metavar="LAYER")
    off.add_argument("kind", metavar="KIND", choices=KINDS, help=", ".join(KINDS))
    off.add_argument("words", nargs="*", metavar="WORDS", help=f"4 rear edge @5. {HINT}")
    off.add_argument("--photo", metavar="NAME", default="", help="file of a picture of how it was")
    back = _part(parts, "back", run_back, "put down what went back on")
    back.add_argument("label", metavar="LABEL", type=int, help="as `strip-down list` shows it")
    back.add_argument("count", metavar="COUNT", type=int, nargs="?", help="else all")
    back.add_argument("--how", choices=get_args(Return), default="back")
    anew = _part(parts, "correct", run_correct, "say anew what came off")
    anew.add_argument("label", metavar="LABEL", type=int)
    anew.add_argument("words", nargs="+", metavar="WORDS", help=f"3 rear edge @5. {HINT}")
    labels = _part(parts, "labels", case.run_labels, "write labels for trays and wires, to print")
    case.add_page(labels)


def _part(
    parts: argparse._SubParsersAction[argparse.ArgumentParser], name: str, run: Run, says: str
) -> argparse.ArgumentParser:
    part = parts.add_parser(name, help=says)
    part.add_argument("id", metavar="ID")
    if run is not case.run_labels:
        part.add_argument("--json", action="store_true", help="print everything as JSON")
    part.set_defaults(run=run)
    add_store(part)
    add_knowledge(part)
    return part


def run_list(arguments: argparse.Namespace) -> int:
    """Each layer with what came off there, the last thing first."""
    session = _session(arguments)
    layers = reassembly_order(_layers(session))
    every = tuple(layer for layer in _layers(session) if layer.things and layer not in layers)
    if arguments.json:
        _say_json(session, (*layers, *every))
        return Exit.DONE
    for layer in (*layers, *every):
        say_wrapped(f"{layer.id} ({'open' if layer.is_open else 'closed'}): {layer.says}")
        for thing in reversed(layer.things):
            say_wrapped(f"{thing.number:>4}  {_thing(thing)}", "  ")
    if not layers and not every:
        tell("Nothing is open, and nothing was told to be off.")
    minutes = open_minutes(session.book, session.snapshot.state)
    tell(f"Opening so far {minutes.spent:g} min, closing takes {minutes.owed:g} min.")
    return Exit.DONE


def run_loose(arguments: argparse.Namespace) -> int:
    """What is left of each tray and place, and what to look at before it is closed over."""
    return _told(arguments, _session(arguments))


def run_off(arguments: argparse.Namespace) -> int:
    """Write down what came off, and print its label."""
    session = _session(arguments)
    tray = tray_at(_layers(session), arguments.layer)
    told = thing_of(arguments.kind, " ".join(arguments.words), tray)
    snapshot = take_off(session, arguments.layer, arguments.kind, photo=arguments.photo, **told)
    layer = arguments.layer
    if session.book.ways[layer] and layer not in snapshot.state.open_layers:
        tell(f"'{layer}' is not put down as open; `strip-down open` does that.")
    return _told(arguments, session, snapshot.state.last)


def run_correct(arguments: argparse.Namespace) -> int:
    """Say anew what came off; its label stays."""
    session = _session(arguments)
    taken = taken_off_by(session.book, session.snapshot.state, arguments.label).taken
    told = thing_of(taken.what, " ".join(arguments.words), taken.tray)
    say_anew(session, arguments.label, **told)
    return _told(arguments, session, arguments.label)


def run_back(arguments: argparse.Namespace) -> int:
    """Write down what went back on, as many as can have."""
    session = _session(arguments)
    left = taken_off_by(session.book, session.snapshot.state, arguments.label).left
    asked = left if arguments.count is None else arguments.count
    if asked > left:
        tell(f"Only {left} of them {'is' if left == 1 else 'are'} left.")
    elif not left:
        tell("All of them are accounted for already.")
    if left:
        put_back(session, arguments.label, min(asked, left), arguments.how)
    return _told(arguments, session, arguments.label)


def run_open(arguments: argparse.Namespace) -> int:
    """Put a layer and what lies over it down as open, and say what can hurt there."""
    session = _session(arguments)
    before = session.snapshot.state.open_layers
    now = session.open(arguments.layer).state.open_layers
    names = [name for name in now if name not in before]
    layers = [session.book.layers[name] for name in names]
    for caution in dict.fromkeys(each for layer in layers for each in layer.cautions):
        tell(f"Caution: {caution_says(session.book.cautions[caution])}")
    told = f"Put down as open: {', '.join(names)}."
    tell(told if names else f"'{arguments.layer}' was open already.")
    return _told(arguments, session)


def run_close(arguments: argparse.Namespace) -> int:
    """Put a layer and what lies under it down as closed; say what to look at, what is loose."""
    session = _session(arguments)
    before = session.snapshot.state.open_layers
    now = session.close(arguments.layer).state.open_layers
    names = [name for name in before if name not in now]
    for layer in reversed(_layers(session)):
        if layer.id in names:
            back = [thing for thing in layer.things if not thing.left]
            looks = (*looks_before_closing(back), *session.book.layers[layer.id].before_closing)
            for look in looks:
                tell(f"{layer.id}: {look}")
    told = f"Put down as closed: {', '.join(names)}."
    tell(told if names else f"'{arguments.layer}' was not open.")
    return _told(arguments, session)


def _session(arguments: argparse.Namespace) -> Session:
    return shelf_of(arguments).reopen(arguments.id)


def _layers(session: Session) -> tuple[StrippedLayer, ...]:
    return stripped(session.book, session.snapshot.state)


def _told(arguments: argparse.Namespace, session: Session, label: int = 0) -> int:
    """The thing of a label, then all that is loose."""
    layers = _layers(session)
    if arguments.json:
        _say_json(session, tuple(layer for layer in layers if layer.loose))
        return Exit.DONE
    if label:
        thing = taken_off_by(session.book, session.snapshot.state, label)
        say_wrapped(f"{thing.number}  {_thing(thing)}")
        say()
    for layer in reassembly_order(layers):
        for line in (*unaccounted(layer.things), *looks_before_closing(layer.loose)):
            say_wrapped(f"{layer.id}: {line}")
    if not any(layer.loose for layer in layers):
        say("Nothing that was told to be off is unaccounted for.")
    return Exit.DONE


def _thing(thing: Loose) -> str:
    """What it is, where it lies, and what has become of it."""
    returned = [return_words(event, thing.taken) for event in thing.returns]
    left = [f"{thing.left} to go"] if returned and thing.left else []
    told = f" [{'; '.join([*returned, *left])}]" if returned else ""
    return taken_words(thing.taken) + told


def _say_json(session: Session, layers: Iterable[StrippedLayer]) -> None:
    minutes = open_minutes(session.book, session.snapshot.state)
    told = {
        "case": session.case,
        "minutes_spent": minutes.spent,
        "minutes_owed": minutes.owed,
        "layers": [_layer_json(layer) for layer in layers],
    }
    say(json.dumps(told, indent=2, allow_nan=False))


def _layer_json(layer: StrippedLayer) -> dict[str, Any]:
    return {
        "layer": layer.id,
        "says": layer.says,
        "open": layer.is_open,
        "unaccounted": list(unaccounted(layer.things)),
        "things": [_thing_json(thing) for thing in reversed(layer.things)],
    }


def _thing_json(thing: Loose) -> dict[str, Any]:
    taken = thing.taken
    return {
        "label": thing.number,
        "kind": taken.what,
        "says": taken_words(taken),
        "count": taken.count,
        "left": thing.left,
        "tray": taken.tray or None,
        "lies": taken.lies,
        "photo": taken.photo,
        "returned": [{"count": event.count, "how": event.how} for event in thing.returns],
    }
