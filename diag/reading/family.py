"""A family with the user's additions to it, laid over the families that it takes over."""

from __future__ import annotations

from pathlib import Path

from diag.errors import BenchtrailError
from diag.model.figures import Origin
from diag.model.mentions import LISTS
from diag.reading.draft import Draft, TakesFrom
from diag.reading.entries import read_file
from diag.reading.location import FAMILY_FILE, Library, family_files
from diag.reading.taking_over import take_over
from diag.reading.yaml_nodes import read_yaml


def read_family(library: Library, folder: Path, above: tuple[str, ...]) -> Draft:
    """Read a family, its additions and what it takes over; `above` has the families on the way."""
    draft = _read_folder(library, folder)
    head = Origin(library.shown(folder / FAMILY_FILE), 1)
    if "family" not in draft.head or "says" not in draft.head:
        draft.findings.problem(head, "the keys 'family' and 'says' are missing.")
    if added := library.added(folder):
        draft = _add(_read_folder(library, added), draft)
    taken = [
        (item, read_family(library, other, (*above, item.family)))
        for item in draft.head.get("takes_from", ())
        if (other := _folder_of(item, library, draft, above)) is not None
    ]
    return take_over(draft, taken) if taken else draft


def _read_folder(library: Library, folder: Path) -> Draft:
    """The files of one folder."""
    draft = Draft()
    for path in family_files(folder):
        shown = library.shown(path)
        tree, problems = read_yaml(path, shown)
        draft.findings.problems += problems
        if tree is not None:
            draft.files.append(shown)
            draft.digest.update(shown.encode() + b"\0" + path.read_bytes())
            read_file(shown, tree, draft)
    return draft


def _add(added: Draft, draft: Draft) -> Draft:
    """Lay additions over their family. What kind of machine it is stays as it was."""
    for word in [word for word in added.head if word not in LISTS]:
        value = added.head.pop(word)
        if value != draft.head.get(word):
            found = f"'{word}' of a family that has a book can't be changed by additions."
            at = Origin(added.files[0], 1)
            added.findings.problem(at, found, f"Keep only {' and '.join(LISTS)}.")
    added.replaced = {k: draft.origins[k] for k in added.origins if k in draft.origins}
    laid = added.lay_over(draft)
    laid.head = draft.head | added.head
    return laid


def _folder_of(
    item: TakesFrom, library: Library, draft: Draft, above: tuple[str, ...]
) -> Path | None:
    """The folder of a family that is taken over; a problem if there is none."""
    if item.family in above:
        found = f"'{item.family}' takes over from itself: {' -> '.join(above)}."
        draft.findings.problem(item.origin, found, "Break the circle.")
        return None
    try:
        return library.folder(item.family)
    except BenchtrailError as error:
        draft.findings.problem(item.origin, error.found, error.do)
        return None
