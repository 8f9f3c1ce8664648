"""The reason for a step, in one sentence that a restorer accepts."""

from __future__ import annotations

from diag.model.book import Book
from diag.model.words import chance_in_words
from diag.planning.access import Access
from diag.planning.next_step import NextStep


def minutes_in_words(minutes: float) -> str:
    """`1 minute`, `12 minutes`, `1 h 20 min`."""
    whole = max(1, round(minutes))
    if whole == 1:
        return "1 minute"
    return f"{whole} minutes" if whole < 60 else f"{whole // 60} h {whole % 60:02} min"


def intake_reason() -> str:
    """Why every case begins alike."""
    return "Every deck answers this first: what works tells as much as what does not."


def walk_reason(book: Book, symptom: str, why: str) -> str:
    """The author's own words, or where the walk comes from."""
    return why or f"Next on the walk for '{book.symptoms[symptom].says}'."


def hazard_reason(book: Book, sign: str) -> str:
    """Why a check comes before anything that powers the deck."""
    return (
        f"Something was done about it. Before power: is it still so that {book.signs[sign].says}?"
    )


def without_power(book: Book, sign: str) -> str:
    """Why no step is offered that powers the deck."""
    return f"Nothing is powered while {book.signs[sign].says}."


def powers_it(book: Book, sign: str) -> str:
    """What is said of a step that a person chose all the same."""
    return f"Not now: it powers the deck while {book.signs[sign].says}."


def check_reason(book: Book, step: NextStep, parts: tuple[str, str | None]) -> str:
    """What a check costs and what it parts."""
    what = parts_in_words(book, parts)
    opening = f", opening included ({_layers(book, step.access)})" if step.access.opens else ""
    shared = len(step.together) - 1
    looks = f"; the opening serves {shared} more look{'s' if shared > 1 else ''}" if shared else ""
    return f"{minutes_in_words(step.all_minutes)}{opening}, and {what}{looks}."


def parts_in_words(book: Book, parts: tuple[str, str | None]) -> str:
    """Which causes a check tells apart, or which one it settles."""
    cause, other = parts
    first = f"'{book.causes[cause].says}'"
    return f"it parts {first} from '{book.causes[other].says}'" if other else f"it settles {first}"


def remedy_reason(book: Book, cause: str, chance: float, minutes: float) -> str:
    """Which cause a remedy goes for and how likely it is needed."""
    sure = f"{chance_in_words(chance)} likely to be needed"
    return f"{minutes_in_words(minutes)}, and {sure}: '{book.causes[cause].says}'."


def not_worth_it() -> str:
    """What is said of a step that comes only because nothing better is left."""
    return "By the figures of the book that costs more than it saves."


def final_reason(shut: float) -> str:
    """Why the deck is tested now."""
    closing = f" after {minutes_in_words(shut)} of closing" if shut else ""
    return f"What the deck can do is the best that there is to learn now{closing}."


def _layers(book: Book, way: Access) -> str:
    return ", ".join(book.layers[name].says or name.replace("_", " ") for name in way.opens)
