"""Worked cases: what a bench observed and what was wrong, to hold a book against.

A folder of worked cases has a `cases.yaml`: name of a file beside it -> {truth: [cause ids], says:
sentence, standing: where the case comes from}. A case file is what `benchtrail rank` takes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from diag.errors import RankFileError
from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.reading.rank_file import RankCase, rank_case, rank_file_family
from diag.reading.yaml_nodes import Node, read_yaml
from diag.rules.rulebook import Rulebook

LIST = "cases.yaml"


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedCase:
    """One case of a bench: its file, its family, and the causes that were found to be true."""

    path: Path
    family: str
    truth: tuple[str, ...]
    says: str
    standing: str


def worked_cases(folder: Path) -> tuple[WorkedCase, ...]:
    """Every case that a list in the folder or below it names, by path.

    Raises:
        RankFileError: a list or a case that can't be read.
    """
    return tuple(case for path in sorted(folder.rglob(LIST)) for case in _listed(path))


def read_case(case: WorkedCase, book: Book) -> RankCase:
    """What was observed.

    Raises:
        RankFileError: the book does not know something in it.
    """
    tree, _ = rank_file_family(case.path)
    return rank_case(tree, book, case.path)


def ranking(case: WorkedCase, book: Book, rulebook: Rulebook) -> Mapping[str, float]:
    """The causes of a case with their probabilities, most probable first.

    Raises:
        RankFileError: the book does not know something in it.
    """
    told = read_case(case, book)
    raised = rulebook.conclude(told.deck, told.history).raised
    causes = solve(network(book, told.deck, told.history, raised)).causes
    return dict(sorted(causes.items(), key=lambda pair: (-pair[1], pair[0])))


def places(case: WorkedCase, book: Book, rulebook: Rulebook) -> Mapping[str, int]:
    """The place of each true cause in the ranking from 1; after the last if it is not there."""
    order = list(ranking(case, book, rulebook))
    return {c: order.index(c) + 1 if c in order else len(order) + 1 for c in case.truth}


def _listed(path: Path) -> list[WorkedCase]:
    tree, problems = read_yaml(path, str(path))
    if problems:
        raise RankFileError(problems[0].found, where=f"{path}:{problems[0].line}")
    if tree is None or tree.kind != "map":
        raise RankFileError(
            "this is no list of worked cases.", where=str(path), do="Write `name: {truth: [...]}`."
        )
    return [_case(path, str(name.scalar), entry) for name, entry in tree.pairs]


def _case(path: Path, name: str, entry: Node) -> WorkedCase:
    parts = {str(key.scalar): value for key, value in entry.pairs}
    if "truth" not in parts or not parts["truth"].items:
        raise RankFileError(
            f"'{name}' says no truth.", where=f"{path}:{entry.line}", do="Add `truth: [cause]`."
        )
    file = path.parent / f"{name}.yaml"
    if not file.is_file():
        raise RankFileError(f"there is no file {file.name}.", where=f"{path}:{entry.line}")
    _, family = rank_file_family(file)
    return WorkedCase(
        path=file,
        family=family,
        truth=tuple(str(item.scalar) for item in parts["truth"].items),
        says=str(parts["says"].scalar) if "says" in parts else "",
        standing=str(parts["standing"].scalar) if "standing" in parts else "",
    )
