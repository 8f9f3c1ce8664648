"""The theme that a person chose, kept beside the cases from one start to the next."""

from __future__ import annotations

from pathlib import Path

from diag.errors import StoreError
from screens.theme import DARK, LIGHT

ENDING = ".theme"


def kept_theme(store: Path) -> str:
    """The name of the theme chosen last; the dark one if none was, or if it can't be read."""
    try:
        name = _file(store).read_text(encoding="utf-8").strip()
    except (OSError, UnicodeDecodeError):
        return DARK.name
    return name if name in (DARK.name, LIGHT.name) else DARK.name


def keep_theme(store: Path, name: str) -> None:
    """Keep the name of a theme.

    Raises:
        StoreError: it can't be written.
    """
    file = _file(store)
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(f"{name}\n", encoding="utf-8")
    except OSError as error:
        raise StoreError(
            f"the theme can't be kept: {error.strerror}. It holds until you leave.",
            where=str(file),
            do="See that the file and its folder can be written.",
        ) from error


def _file(store: Path) -> Path:
    return store.with_name(f"{store.stem}{ENDING}")
