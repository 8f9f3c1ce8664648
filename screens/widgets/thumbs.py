"""Rules of thumb with their figure, range and the kind of source."""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import RenderableType
from rich.text import Text

from diag.model.advice import Source, Thumb
from screens.widgets.lines import QUIET, keyed


def thumb_lines(thumbs: Iterable[tuple[Thumb, Source]]) -> RenderableType:
    """Each rule of thumb with where it comes from."""
    return keyed([("-", _told(thumb, source)) for thumb, source in thumbs])


def _told(thumb: Thumb, source: Source) -> Text:
    figure = "" if thumb.figure is None else f" ({_figure(thumb)})"
    title = f": {source.title}" if source.standing == "published" else ""
    return Text.assemble(thumb.says, figure, (f" [{source.standing}{title}]", QUIET))


def _figure(thumb: Thumb) -> str:
    span = " to ".join(f"{bound:g}" for bound in thumb.range)
    within = f", {span}" if span else ""
    return f"{thumb.figure:g}{within} {thumb.unit}".rstrip()
