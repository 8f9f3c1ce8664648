"""Read a family's folder into a book, or tell every problem in it at once."""

from __future__ import annotations

from pathlib import Path

from diag.errors import KnowledgeError, Problem
from diag.model.advice import UNPUBLISHED, Source
from diag.model.book import Book
from diag.reading.book_cache import book_cache
from diag.reading.build import NOT_BUILT, Builder
from diag.reading.draft import Draft
from diag.reading.family import read_family
from diag.reading.location import Library, find
from diag.reading.meaning import meaning_problems
from diag.reading.references import reference_problems
from diag.reading.yaml_nodes import read_yaml


def read_book(
    root: Path, family: str, additions: Path | None = None, cache: Path | None = None
) -> Book:
    """Read one family.

    Args:
        root: a folder of families, or the folder of this one.
        family: its name.
        additions: a folder of families whose entries replace those of the same id and add others.
        cache: a folder of this user's own in which the book is kept as it was read.

    Raises:
        KnowledgeError: with every problem of every file.
        BenchtrailError: there is no such family.
    """
    library, folder = find(root, family, additions)
    kept = book_cache(cache, library, folder)
    book = kept.load() if kept else None
    if book is None:
        book = _read(library, folder)
        # A file may have changed meanwhile, and then nobody knows what the book was made from.
        if kept and kept == book_cache(cache, library, folder):
            kept.keep(book)
    return book


def _read(library: Library, folder: Path) -> Book:
    draft = read_family(library, folder, (folder.name,))
    draft.entries["sources"] = _read_sources(library, folder, draft)
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
        replaced=draft.replaced,
        **draft.entries,
    )


def read_usable_book(
    root: Path, family: str, additions: Path | None = None, cache: Path | None = None
) -> tuple[Book, tuple[Problem, ...]]:
    """Read one family, without the additions where these can't be used.

    Returns:
        The book, and the problems for which additions were left out.

    Raises:
        KnowledgeError: the book can't be used without them, either.
        BenchtrailError: there is no such family.
    """
    try:
        return read_book(root, family, additions, cache), ()
    except KnowledgeError as error:
        library, folder = find(root, family, additions)
        if additions is None or library.is_added(folder):
            raise
        return read_book(root, family, cache=cache), error.problems


def _read_sources(library: Library, folder: Path, draft: Draft) -> dict[str, Source]:
    """The published sources, and the two that every book has."""
    found = {name: Source(id=name, title=says) for name, says in UNPUBLISHED.items()}
    for path in library.sources(folder):
        shown = library.shown(path)
        tree, problems = read_yaml(path, shown)
        draft.findings.problems += problems
        if tree is None:
            continue
        draft.digest.update(shown.encode() + b"\0" + path.read_bytes())
        builder = Builder(shown, draft.findings)
        for key, node in tree.pairs:
            for name, entry in node.pairs if key.scalar == "sources" else ((key, node),):
                built = builder.entry(entry, Source, str(name.scalar))
                if built is not NOT_BUILT:
                    found[str(name.scalar)] = built
    return found
