"""What can happen to a deck on the bench: the kinds of event of a case.

Those of strip-down, of parts and of specifications stand in `taken_apart`, `part_kept` and
`held_against`.

Events are numbered from 1 within their case. They are never changed; `Struck` takes one back, and
striking that `Struck` brings it back. Every event checks itself when it is made and raises
`CaseError`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, get_args

from diag.cases.captured import Likely, Reading, check_curve, check_figure, check_parts
from diag.cases.happened import Happened, check_one_of
from diag.cases.held_against import HeldAgainst
from diag.cases.part_kept import PartKept
from diag.cases.taken_apart import PutBack, TakenOff
from diag.cases.text import check_line, check_number, check_text
from diag.errors import CaseError
from diag.model.found import Curve, Figure
from diag.model.history import Sure
from diag.model.trait import Deck

Certainty = Literal["certain", "fairly", "cant_tell", "skipped"]
Outcome = Literal["done", "given_up"]


@dataclass(frozen=True, slots=True)
class TakenIn(Happened):
    """The deck comes to the bench; a later one amends what is known of it.

    `book_digest` tells which state of the knowledge was in use.
    """

    name: str
    family: str
    deck: Deck = field(default_factory=Deck)
    story: str = ""
    book_digest: str = ""

    def __post_init__(self) -> None:
        """Check the texts and the deck."""
        Happened.__post_init__(self)
        check_line(self.name, "name of the deck")
        check_line(self.family, "family")
        check_text(self.story, "story")
        check_text(self.book_digest, "digest of the book")
        _check_deck(self.deck)


@dataclass(frozen=True, slots=True)
class SymptomTold(Happened):
    """The owner's complaint."""

    symptom: str

    def __post_init__(self) -> None:
        """Check the id."""
        Happened.__post_init__(self)
        check_line(self.symptom, "symptom")


@dataclass(frozen=True, slots=True)
class Answered(Happened):
    """A check got an answer; `answer` is empty for 'can't tell' and for a check left out."""

    check: str
    answer: str = ""
    sure: Certainty = "certain"

    def __post_init__(self) -> None:
        """Check the ids, and that there is an answer exactly when one was given."""
        Happened.__post_init__(self)
        check_line(self.check, "check")
        check_one_of(self.sure, get_args(Certainty), "certainty")
        if self.sure in get_args(Sure):
            check_line(self.answer, "answer")
        elif self.answer:
            raise CaseError(
                f"The check {self.check} has an answer, and is marked {self.sure}.",
                do="Leave the answer empty, or mark it certain or fairly.",
            )


@dataclass(frozen=True, slots=True)
class Measured(Happened):
    """A measuring check got its value, in `unit`, which means `answer`."""

    check: str
    value: float
    unit: str
    answer: str
    sure: Sure = "certain"

    def __post_init__(self) -> None:
        """Check the ids and the value."""
        Happened.__post_init__(self)
        check_line(self.check, "check")
        check_number(self.value, "measured value")
        check_text(self.unit, "unit")
        check_line(self.answer, "answer")
        check_one_of(self.sure, get_args(Sure), "certainty")


@dataclass(frozen=True, slots=True)
class Captured(Happened):
    """A recording of the deck was measured; `readings` are the checks that it answers.

    Whether it was before or after a repair is told by its place among the events. `what` is the
    kind of measurement, `file` the name of the sound file, `source` the id of the published source
    of the definition.
    """

    what: str
    file: str
    figures: tuple[Figure, ...]
    curves: tuple[Curve, ...] = ()
    remarks: tuple[str, ...] = ()
    likely: tuple[Likely, ...] = ()
    source: str = ""
    readings: tuple[Reading, ...] = ()

    def __post_init__(self) -> None:
        """Check the texts, and that no check is answered twice."""
        Happened.__post_init__(self)
        check_line(self.what, "kind of measurement")
        check_line(self.file, "name of the sound file")
        check_text(self.source, "source")
        for parts, named in (
            (self.figures, "figures"),
            (self.curves, "curves"),
            (self.remarks, "remarks"),
            (self.likely, "parts"),
            (self.readings, "answers"),
        ):
            check_parts(parts, named)
        for figure in self.figures:
            check_figure(figure)
        for curve in self.curves:
            check_curve(curve)
        for remark in self.remarks:
            check_text(remark, "remark")
        answered = [reading.check for reading in self.readings]
        if len(set(answered)) < len(answered):
            raise CaseError("One check is answered twice.", do="Leave one of the answers out.")


@dataclass(frozen=True, slots=True)
class Opened(Happened):
    """A layer was opened."""

    layer: str

    def __post_init__(self) -> None:
        """Check the id."""
        Happened.__post_init__(self)
        check_line(self.layer, "layer")


@dataclass(frozen=True, slots=True)
class Closed(Happened):
    """A layer was closed."""

    layer: str

    def __post_init__(self) -> None:
        """Check the id."""
        Happened.__post_init__(self)
        check_line(self.layer, "layer")


@dataclass(frozen=True, slots=True)
class Remedied(Happened):
    """A remedy was carried out, or given up."""

    remedy: str
    outcome: Outcome = "done"
    note: str = ""

    def __post_init__(self) -> None:
        """Check the id and the texts."""
        Happened.__post_init__(self)
        check_line(self.remedy, "remedy")
        check_one_of(self.outcome, get_args(Outcome), "outcome")
        check_text(self.note, "note")


@dataclass(frozen=True, slots=True)
class Acknowledged(Happened):
    """A caution was read before the check or remedy whose id is `before`."""

    caution: str
    before: str

    def __post_init__(self) -> None:
        """Check the ids."""
        Happened.__post_init__(self)
        check_line(self.caution, "caution")
        check_line(self.before, "step that the caution stands before")


@dataclass(frozen=True, slots=True)
class Noted(Happened):
    """Something worth writing down."""

    text: str

    def __post_init__(self) -> None:
        """Check the text."""
        Happened.__post_init__(self)
        check_text(self.text, "note")


@dataclass(frozen=True, slots=True)
class Struck(Happened):
    """The event of this number is taken back."""

    event: int

    def __post_init__(self) -> None:
        """Refuse the number of no event, and the first event, without which there is no case."""
        Happened.__post_init__(self)
        if self.event < 1:
            raise CaseError("Events are numbered 1, 2, 3 and so on.", do="Name an event so.")
        if self.event == 1:
            raise CaseError(
                "The intake of a deck can't be struck.", do="Amend it by another intake."
            )


Event = (
    TakenIn
    | SymptomTold
    | Answered
    | Measured
    | Captured
    | Opened
    | Closed
    | Remedied
    | Acknowledged
    | Noted
    | TakenOff
    | PutBack
    | PartKept
    | HeldAgainst
    | Struck
)


def _check_deck(deck: Deck) -> None:
    if deck.age_years is not None:
        check_number(deck.age_years, "age in years")
        if deck.age_years < 0:
            raise CaseError("The age of the deck is below zero.", do="Give it in years, or none.")
    for trait, value in deck.traits.items():
        check_line(trait, "trait")
        check_line(value, f"trait {trait}")
    for fact, known in deck.facts.items():
        check_line(fact, "fact")
        if isinstance(known, str):
            check_line(known, f"fact {fact}")
        else:
            check_number(known, f"fact {fact}")
