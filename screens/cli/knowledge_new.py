"""`benchtrail knowledge new KIND ID`: a commented file to start from."""

from __future__ import annotations

import argparse
from pathlib import Path

from diag.cases.new_file import write_new_file
from diag.errors import BenchtrailError
from diag.model.mentions import SECTIONS, kind_of
from diag.reading.location import FAMILY_FILE
from diag.reading.template import FAMILY, from_template, kinds
from screens.cli.exit_codes import Exit
from screens.cli.output import say, tell
from screens.cli.places import add_knowledge, own_folder, read, the_family


def add(parts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    top = parts.add_parser("new", help="write a commented file to start an entry from")
    top.add_argument("kind", choices=kinds(), metavar="KIND", help=", ".join(kinds()))
    top.add_argument("id", metavar="ID", help="small letters, digits and _")
    top.add_argument("--family", metavar="NAME", help="the book that it is for")
    top.add_argument(
        "--to", type=Path, metavar="DIR", help="the folder to write to (default: your additions)"
    )
    add_knowledge(top)
    top.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Write the file, print its path to stdout and what comes next to stderr.

    Raises:
        BenchtrailError: the id is taken or is none; there is no such family; a file is there.
    """
    kind, name = arguments.kind, arguments.id
    root = arguments.to or own_folder(arguments)
    if kind == FAMILY:
        path = root / name / FAMILY_FILE
        text = from_template(kind, name, None)
    else:
        book = read(arguments, the_family(arguments))
        section = next(name for name in SECTIONS if kind_of(name) == kind)
        if name in getattr(book, section):
            raise BenchtrailError(
                f"the book has '{name}' in {section} already.",
                do=f"Choose another id, or change it: benchtrail knowledge edit {name}",
            )
        path = root / book.family / f"{kind}_{name}.yaml"
        text = from_template(kind, name, book)
    path.parent.mkdir(parents=True, exist_ok=True)
    write_new_file(path, text.encode("utf-8"), "knowledge file")
    say(str(path))
    tell(f"Written. Fill it in: benchtrail knowledge edit {path}")
    tell("It counts from now on; `benchtrail knowledge check` tells what is wrong in it.")
    return Exit.DONE
