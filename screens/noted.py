"""What the rules, the answers and the book have to say of a case, beside its ranking."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp
from typing import TYPE_CHECKING

from diag.model.history import Given
from diag.session.words import ref_in_words
from screens.widgets.lines import SEVERITY_WORDS

if TYPE_CHECKING:
    from diag.rules.conclusions import Because
    from diag.session.assessment import Assessment
    from diag.session.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing noted: how it is marked, what it says, and what stands behind it."""

    mark: str
    says: str
    because: str = ""


def remarks(snapshot: Snapshot) -> tuple[Remark, ...]:
    """Everything worth noting, what does not fit together first."""
    found = [Remark("!", snapshot.trouble)] if snapshot.trouble else []
    found += [Remark("!", told) for told in snapshot.left_out]
    if snapshot.assessment:
        found += _clashes(snapshot, snapshot.assessment)
        found += _conclusions(snapshot, snapshot.assessment)
    return tuple(found)


def worst_check(snapshot: Snapshot) -> str | None:
    """The check whose answer sits worst with the rest, if there is a large conflict."""
    worst = snapshot.assessment.conflict.worst if snapshot.assessment else None
    return worst.check if isinstance(worst, Given) and worst.check in snapshot.book.checks else None


def _clashes(snapshot: Snapshot, found: Assessment) -> list[Remark]:
    book = snapshot.book
    told = [Remark("!", c.text, _because(snapshot, c.because)) for c in found.conclusions.conflicts]
    worst = found.conflict.worst
    if worst is not None:
        times = exp(min(found.conflict.worst_nats, 20.0))
        again = " g asks it again." if worst_check(snapshot) else ""
        told.append(
            Remark(
                "!",
                f"Sits worst with the rest: '{ref_in_words(book, worst)}'.{again}",
                f"beside the other answers it is {times:.0f} times less likely than by itself",
            )
        )
    return told


def _conclusions(snapshot: Snapshot, found: Assessment) -> list[Remark]:
    book, rules = snapshot.book, found.conclusions
    told = []
    for fact, because in rules.derived.items():
        rule = book.rules.get(because.rule)
        says = (rule.says if rule else "") or f"{fact.replace('_', ' ')}: yes"
        told.append(Remark("So", says, _because(snapshot, because)))
    for caution, because in rules.cautions.items():
        if entry := book.cautions.get(caution):
            mark = SEVERITY_WORDS[entry.severity]
            told.append(
                Remark(mark, f"{entry.says} {entry.do}".strip(), _because(snapshot, because))
            )
    for thumb, because in rules.thumbs.items():
        if known := book.thumbs.get(thumb):
            source = book.sources.get(known.source)
            standing = source.standing if source else "source unknown"
            told.append(Remark("Thumb", f"{known.says} ({standing})", _because(snapshot, because)))
    return told


def _because(snapshot: Snapshot, because: Because) -> str:
    """The facts that fired a rule."""
    return "; ".join(_fact(snapshot, fact.kind, fact.id, fact.value) for fact in because.facts)


def _fact(snapshot: Snapshot, kind: str, name: str, value: str | float) -> str:
    book = snapshot.book
    if kind == "sign" and name in book.signs:
        return f"{'yes' if value == 'present' else 'no'}: {book.signs[name].says}"
    if kind == "symptom" and name in book.symptoms:
        return f"the owner: {book.symptoms[name].says}"
    if kind == "check" and name in book.checks:
        return ref_in_words(book, Given(name, str(value)))
    shown = f"{value:g}" if isinstance(value, float) else str(value).replace("_", " ")
    return f"{name.replace('_', ' ')}: {shown}"
