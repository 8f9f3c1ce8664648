"""Read a family's folder into a book, or tell every problem in it at once."""

from __future__ import annotations

from pathlib import Path

from diag.errors import BenchtrailError, KnowledgeError
from diag.model.advice import UNPUBLISHED, Source
from diag.model.book import Book
from diag.model.figures import Origin
from diag.reading.build import NOT_BUILT, Builder
from diag.reading.draft import Draft, TakesFrom
from diag.reading.entries import read_file
from diag.reading.location import FAMILY_FILE, family_files, family_folder, sources_file
from diag.reading.meaning import meaning_problems
from diag.reading.references import reference_problems
from diag.reading.taking_over import take_over
from diag.reading.yaml_nodes import read_yaml


def read_book(root: Path, family: str) -> Book:
    """Read one family.

    Args:
        root: a folder of families, or the folder of this one.
        family: its name.

    Raises:
        KnowledgeError: with every problem of every file.
        BenchtrailError: there is no such family.
    """
    folder = family_folder(root, family)
    draft = _read_family(folder, (folder.name,))
    sources = _read_sources(folder, draft)
    draft.entries["sources"] = sources
    problems = [*draft.findings.problems, *reference_problems(draft)]
    # What an entry means can be judged only where all that it names is there.
    problems += [] if problems else meaning_problems(draft)
    if problems:
        # A family that is taken over on two ways tells its problems once.
        once = dict.fromkeys(problems)
        raise KnowledgeError(tuple(sorted(once, key=lambda p: (p.path, p.line))))
    return Book(
        family=draft.head["family"],
        says=draft.head["says"],
        digest=draft.digest.hexdigest()[:16],
        intake=draft.head.get("intake", ()),
        final_test=draft.head.get("final_test", ()),
        retired=draft.retired,
        **draft.entries,
    )


def _read_family(folder: Path, above: tuple[str, ...]) -> Draft:
    """Read a family and lay it over those that it takes over."""
    draft = Draft()
    for path in family_files(folder):
        shown = str(path.relative_to(folder.parent))
        tree, problems = read_yaml(path, shown)
        draft.findings.problems += problems
        if tree is not None:
            draft.files.append(shown)
            draft.digest.update(shown.encode() + b"\0" + path.read_bytes())
            read_file(shown, tree, draft)
    if "family" not in draft.head or "says" not in draft.head:
        where = Origin(f"{folder.name}/{FAMILY_FILE}", 1)
        draft.findings.problem(where, "the keys 'family' and 'says' are missing.")
    taken = [
        (item, _read_family(other, (*above, item.family)))
        for item in draft.head.get("takes_from", ())
        if (other := _folder_of(item, folder, draft, above)) is not None
    ]
    return take_over(draft, taken) if taken else draft


def _folder_of(item: TakesFrom, folder: Path, draft: Draft, above: tuple[str, ...]) -> Path | None:
    """The folder of a family that is taken over; a problem if there is none."""
    if item.family in above:
        found = f"'{item.family}' takes over from itself: {' -> '.join(above)}."
        draft.findings.problem(item.origin, found, "Break the circle.")
        return None
    try:
        return family_folder(folder.parent, item.family)
    except BenchtrailError as error:
        draft.findings.problem(item.origin, error.found, error.do)
        return None


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
