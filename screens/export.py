"""Writing a trail to a file: which format, and where."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from rich.text import Text

from screens.dialogs.choose import Choose, Item
from screens.dialogs.line import LineDialog

if TYPE_CHECKING:
    from diag.session.session import Session
    from screens.engine_screen import EngineScreen

FORMATS = (
    Item("markdown", "Markdown", "plain text that any editor reads"),
    Item("html", "HTML", "one page that prints well"),
    Item("json", "JSON", "for other programs"),
)


async def export_trail(screen: EngineScreen, session: Session) -> None:
    """Ask for format and place, write, and tell where the file is."""
    from diag.trail.export import ENDINGS

    chosen = await screen.app.push_screen_wait(Choose("Write the trail as", FORMATS))
    if not chosen:
        return
    fmt = chosen[0]
    path = await ask_path(screen, proposed(session.snapshot.state.name, ENDINGS[fmt]))
    if path is not None and await screen.ask(lambda: _write(session, fmt, path)):
        screen.app.notify(f"Written: {path}", markup=False)


async def ask_path(screen: EngineScreen, proposal: Path) -> Path | None:
    """Where to write; None when the person goes back."""
    asked = LineDialog(
        "Where to?", str(proposal), Text("A file that is there already is never written over.")
    )
    typed = await screen.app.push_screen_wait(asked)
    return Path(typed).expanduser() if typed else None


def proposed(name: str, ending: str) -> Path:
    """A new file in the home folder, named after the deck."""
    kept = "".join(sign if sign.isalnum() else "-" for sign in name.casefold())
    stem = "-".join(part for part in kept.split("-") if part) or "deck"
    path = Path.home() / f"{stem}{ending}"
    number = 2
    while path.exists():
        path, number = path.with_name(f"{stem}-{number}{ending}"), number + 1
    return path


def _write(session: Session, fmt: str, path: Path) -> bool:
    from diag.trail.export import write

    write(session.tell_trail(), fmt, path)
    return True
