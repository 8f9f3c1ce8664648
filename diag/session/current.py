"""An old case brought up to today's book."""

from __future__ import annotations

from dataclasses import dataclass

from diag.model.book import Book
from diag.model.history import Given, History, Mended, Opened, Step
from diag.model.nearest import nearest


@dataclass(frozen=True, slots=True)
class Current:
    """A history that names only what the book has, and what had to be left out, in words."""

    history: History
    left_out: tuple[str, ...]


def bring_up_to_date(book: Book, history: History) -> Current:
    """Follow `replaced_by`, and leave out what the book no longer has. Nothing stored changes."""
    told: list[str] = []
    symptoms = [s for name in history.symptoms if (s := _now(book, "symptoms", name, told))]
    steps = [now for step in history.steps if (now := _step(book, step, told)) is not None]
    return Current(History(tuple(dict.fromkeys(symptoms)), tuple(steps)), tuple(told))


def _step(book: Book, step: Step, told: list[str]) -> Step | None:
    match step:
        case Given():
            check = _now(book, "checks", step.check, told, step.event)
            if not check:
                return None
            known = book.checks[check].answers
            if step.answer not in known:
                told.append(
                    f"Event {step.event}: the check '{check}' has no answer '{step.answer}' any "
                    f"more, so it counts as not asked. {nearest(step.answer, known)} "
                    "Ask the check again."
                )
                return None
            return Given(check, step.answer, step.sure, step.event)
        case Mended():
            remedy = _now(book, "remedies", step.remedy, told, step.event)
            return Mended(remedy, step.event) if remedy else None
        case Opened():
            layer = _now(book, "layers", step.layer, told, step.event)
            return Opened(layer, step.event) if layer else None


def _now(book: Book, section: str, name: str, told: list[str], event: int = 0) -> str:
    """The id that an id of the case has today; empty if there is none."""
    known = getattr(book, section)
    seen = {name}
    while name not in known and name in book.retired.get(section, {}):
        name = book.retired[section][name]
        if name in seen:
            break
        seen.add(name)
    if name in known:
        return name
    where = f"Event {event}: " if event else ""
    told.append(
        f"{where}the book has no '{name}' in {section}, so it does not count. "
        f"{nearest(name, known)} Say it again with an id that the book has, or strike it."
    )
    return ""
