"""Read a family's folder into a book, or tell every problem in it at once."""

from __future__ import annotations

from pathlib import Path

from diag.errors import BenchtrailError, KnowledgeError
from diag.model.advice import UNPUBLISHED, Source
from diag.model.book import Book
from diag.model.figures import Origin
from diag.reading.build import NOT_BUILT, Builder
from diag.reading.draft import Draft
from diag.reading.entries import read_file
from diag.reading.location import family_files, family_folder, sources_file
from diag.reading.meaning import meaning_problems
from diag.reading.references import reference_problems
from diag.reading.yaml_nodes import Node, read_yaml


def read_book(root: Path, family: str) -> Book:
    """Read one family.

    Args:
        root: a folder of families, or the folder of this one.
        family: its name.

    Raises:
        KnowledgeError: with every problem of every file.
        BenchtrailError: there is no such family.
    """
    draft = Draft()
    folder = family_folder(root, family)
    _read_family(folder, draft, (folder.name,))
    sources = _read_sources(folder, draft)
    draft.entries["sources"] = sources
    problems = [*draft.findings.problems, *reference_problems(draft)]
    # What an entry means can be judged only where all that it names is there.
    problems += [] if problems else meaning_problems(draft)
    if problems:
        raise KnowledgeError(tuple(sorted(problems, key=lambda p: (p.path, p.line))))
    return Book(
        family=draft.head["family"],
        says=draft.head["says"],
        digest=draft.digest.hexdigest()[:16],
        intake=draft.head.get("intake", ()),
        final_test=draft.head.get("final_test", ()),
        retired=draft.retired,
        **draft.entries,
    )


def _read_family(folder: Path, draft: Draft, above: tuple[str, ...]) -> None:
    """Read a family over those that it takes over: its own entries replace theirs."""
    trees = []
    for path in family_files(folder):
        shown = str(path.relative_to(folder.parent))
        tree, problems = read_yaml(path, shown)
        draft.findings.problems += problems
        if tree is not None:
            trees.append((shown, tree))
            draft.digest.update(shown.encode() + b"\0" + path.read_bytes())
    if trees and trees[0][0].endswith("family.yaml"):
        for other in _taken_over(trees[0], draft, above):
            try:
                _read_family(family_folder(folder.parent, other), draft, (*above, other))
            except BenchtrailError as error:
                draft.findings.problem(Origin(trees[0][0], 1), error.found, error.do)
    seen: dict[tuple[str, str], Origin] = {}
    for shown, tree in trees:
        read_file(shown, tree, draft, seen)
    if not trees or "family" not in draft.head or "says" not in draft.head:
        where = Origin(f"{folder.name}/family.yaml", 1)
        draft.findings.problem(where, "the keys 'family' and 'says' are missing.")


def _taken_over(head: tuple[str, Node], draft: Draft, above: tuple[str, ...]) -> list[str]:
    shown, tree = head
    names = []
    for key, value in tree.pairs:
        if key.scalar == "takes_from":
            for item in value.items:
                if str(item.scalar) in above:
                    found = f"'{item.scalar}' takes over from itself: {' -> '.join(above)}."
                    draft.findings.problem(Origin(shown, item.line), found, "Break the circle.")
                else:
                    names.append(str(item.scalar))
    return names


def _read_sources(folder: Path, draft: Draft) -> dict[str, Source]:
    """The published sources, and the two that every book has."""
    found = {name: Source(id=name, title=says) for name, says in UNPUBLISHED.items()}
    path = sources_file(folder)
    if path is None:
        return found
    shown = path.name if path.parent != folder else f"{folder.name}/{path.name}"
    tree, problems = read_yaml(path, shown)
    draft.findings.problems += problems
    if tree is None:
        return found
    builder = Builder(shown, draft.findings)
    for key, node in tree.pairs:
        for name, entry in node.pairs if key.scalar == "sources" else ((key, node),):
            built = builder.entry(entry, Source, str(name.scalar))
            if built is not NOT_BUILT:
                found[str(name.scalar)] = built
    return found
