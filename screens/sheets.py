"""What a check or a remedy says, put together for a card: pure values, nothing drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from diag.model.advice import Caution
from diag.model.check import Check
from diag.model.remedy import Remedy
from diag.model.trait import fits
from diag.model.words import answer_says, step_says
from diag.planning.access import access, closing
from diag.planning.reasons import minutes_in_words
from diag.session.measured import measured_by
from diag.session.words import outside_in_words
from diag.trail.words import SURE_WORDS

if TYPE_CHECKING:
    from diag.model.book import Book
    from diag.planning.next_step import NextStep
    from diag.session.session import Session
    from diag.session.snapshot import Snapshot

Kind = Literal["check", "remedy"]

SPEAKERS = {
    "intake": "Intake",
    "walk": "Walk",
    "planner": "Planner",
    "final test": "Final test",
    "safety": "Safety",
    "you": "Your choice",
}
DONE, GIVEN_UP = "done", "given_up"
OUTCOMES = ((DONE, "It is done"), (GIVEN_UP, "Given up, or it can't be done"))
WITHOUT_POWER = "Without power"
NOTHING = "Nothing is left that this book would ask or mend."


def offer_says(book: Book, kind: str, step: str) -> str:
    """A step in one line, as one of several to choose from."""
    says = step_says(book, kind, step)
    return says if kind == "check" else f"Mend: {says}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One step as a card shows it.

    `lines` are pairs of a label and a text. `unread` dangers hide everything else but the way
    without power and `outside`, which says what lies outside the book where the step is not worth
    its minutes. `unit` is None
    unless a number is asked for. `opens` are the layers that must be opened first; `closes` says
    that the deck must be closed first. `recording` is the kind of measurement by which a recording
    answers it, empty if none can.
    """

    kind: Kind
    id: str
    speaker: str
    why: str
    title: str
    cautions: tuple[Caution, ...]
    unread: tuple[Caution, ...]
    lines: tuple[tuple[str, str], ...]
    answers: tuple[tuple[str, str], ...]
    outside: str = ""
    unit: str | None = None
    opens: tuple[str, ...] = ()
    closes: bool = False
    recording: str = ""

    @property
    def said_by(self) -> str:
        """Who calls for the step, and why; a choice of the person's own needs no reason."""
        return f"{self.speaker}: {self.why}" if self.why else f"{self.speaker}."

    @property
    def without_power(self) -> str:
        """The checks that would tell the same with the plug pulled; empty if there are none."""
        return dict(self.lines).get(WITHOUT_POWER, "")


def sheet_of(session: Session, kind: Kind, step: str, found: NextStep | None) -> Sheet:
    """The sheet of a check or remedy; `found` is the step as planned, None if a person chose it."""
    book, state = session.book, session.snapshot.state
    view = session.step_view(kind, step)
    by = found.by if found else "you"
    closes = by == "final test" and bool(state.open_layers)
    entry = book.checks[step] if kind == "check" else book.remedies[step]
    opens = () if by == "final test" else access(book, state.open_layers, entry.at).opens
    assessed = session.snapshot.assessment
    outside = outside_in_words(book, assessed) if assessed and found else ""
    ways = _way(book, opens, state.open_layers if closes else ())
    if isinstance(entry, Check):
        title, lines, answers = entry.ask, _check_lines(session, entry), _answers(session, entry)
    else:
        title, lines, answers = f"Mend: {entry.says}", _remedy_lines(session, entry), OUTCOMES
    return Sheet(
        kind=kind,
        id=step,
        speaker=SPEAKERS[by],
        why=found.why if found else _why_chosen(session.snapshot, kind, step),
        title=title,
        cautions=view.cautions,
        unread=view.unread,
        lines=(*lines, *ways),
        answers=answers,
        outside=outside,
        unit=entry.measures.unit if isinstance(entry, Check) and entry.measures else None,
        opens=opens,
        closes=closes,
        recording=measured_by(entry) if isinstance(entry, Check) else "",
    )


def layer_name(layer: str) -> str:
    """The short name of a layer."""
    return layer.replace("_", " ")


def _answers(session: Session, check: Check) -> tuple[tuple[str, str], ...]:
    return tuple((str(name), answer_says(check, name)) for name in check.answers)


def _check_lines(session: Session, check: Check) -> tuple[tuple[str, str], ...]:
    return _told(
        (WITHOUT_POWER, "; ".join(_unpowered(session, check))),
        ("Needs power", check.needs_power if check.live else ""),
        ("How", check.how),
        ("Good", check.good),
        ("Tools", ", ".join(check.tools)),
        ("Time", minutes_in_words(check.minutes) + (", powered" if check.live else "")),
    )


def _unpowered(session: Session, check: Check) -> list[str]:
    """What would tell the same of this deck with the plug pulled, where the check is powered."""
    traits = session.snapshot.state.deck.traits
    others = [session.book.checks[other] for other in check.unpowered] if check.live else []
    return [other.ask for other in others if fits(other.where, traits)]


def _remedy_lines(session: Session, remedy: Remedy) -> tuple[tuple[str, str], ...]:
    book = session.book
    mends = [book.causes[cause].says for cause in book.mends[remedy.id]]
    return _told(
        ("How", remedy.how),
        ("Parts", ", ".join(remedy.parts)),
        ("Tools", ", ".join(remedy.tools)),
        ("Goes for", "; ".join(mends)),
        ("Cures", f"{remedy.cures:.0%}".replace("%", " % of the time")),
        ("Time", minutes_in_words(remedy.minutes) + (", powered" if remedy.live else "")),
    )


def _way(
    book: Book, opens: tuple[str, ...], still_open: tuple[str, ...]
) -> tuple[tuple[str, str], ...]:
    """How deep the step lies, or what must be closed before it."""
    if still_open:
        names = ", ".join(layer_name(name) for name in still_open)
        return (("Close first", f"{names} ({minutes_in_words(closing(book, still_open))})"),)
    if not opens:
        return ()
    minutes = sum(book.layers[name].open_minutes for name in opens)
    names = ", ".join(layer_name(name) for name in opens)
    return (("Opens", f"{names} ({minutes_in_words(minutes)} to open)"),)


def _why_chosen(snapshot: Snapshot, kind: Kind, step: str) -> str:
    """What is against a step that the person chose, and its answer so far; empty if nothing."""
    found = snapshot.assessment
    against = found.against_choosing(kind, step) if found else ""
    return f"{against} {_asked_again(snapshot, kind, step)}".strip()


def _asked_again(snapshot: Snapshot, kind: Kind, step: str) -> str:
    """The answer that a step had already; empty if it had none."""
    given = snapshot.state.answers.get(step) if kind == "check" else None
    check = snapshot.book.checks.get(step)
    if given is None or check is None or given.answer not in check.answers:
        return ""
    said = answer_says(check, given.answer) + SURE_WORDS[given.sure]
    return f"You chose to ask again; the answer was: {said}."


def _told(*lines: tuple[str, str]) -> tuple[tuple[str, str], ...]:
    return tuple(line for line in lines if line[1])
