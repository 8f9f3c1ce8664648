"""Writing labels and the list for reassembly to a file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from screens.export import ask_path, proposed

if TYPE_CHECKING:
    from diag.session.session import Session
    from screens.engine_screen import EngineScreen


async def export_labels(screen: EngineScreen, session: Session) -> None:
    """Ask for a place, write one HTML page, and tell where it is."""
    path = await ask_path(screen, proposed(f"{session.snapshot.state.name} labels", ".html"))
    if path is not None and await screen.ask(lambda: _write(session, path)):
        screen.app.notify(f"Written: {path}", markup=False)


def _write(session: Session, path: Path) -> bool:
    from diag.trail.labels import write_labels
    from diag.trail.loose import stripped

    snapshot = session.snapshot
    layers = stripped(snapshot.book, snapshot.state)
    write_labels(snapshot.state.name, snapshot.case, layers, path)
    return True
