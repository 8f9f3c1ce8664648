"""What the rules, the answers and the book have to say of a case, beside its ranking."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp
from typing import TYPE_CHECKING

from diag.model.history import Given
from diag.model.words import answer_says
from diag.session.words import outside_in_words, ref_in_words
from diag.trail.words import SURE_WORDS
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
        outside = outside_in_words(snapshot.book, snapshot.assessment)
        found += [Remark("!", outside)] if outside else []
        found += _bounded(snapshot, snapshot.assessment)
        found += _estimated(snapshot.assessment)
        found += _clashes(snapshot, snapshot.assessment)
        found += _conclusions(snapshot, snapshot.assessment)
    return tuple(found)


def _bounded(snapshot: Snapshot, found: Assessment) -> list[Remark]:
    """That chances are intervals, and which check would make them narrower."""
    if found.posterior.bounds is None:
        return []
    check = settling_check(snapshot)
    settle = f"Settle a doubtful sign: '{check}'" if check else "Strike an answer that adds little."
    return [
        Remark(
            "!",
            "Bounded, not exact: the chances lie between the two that are given, and what comes"
            f" next is estimated. {settle}",
            f"{found.posterior.width} signs that are present or doubtful hang together",
        )
    ]


def _estimated(found: Assessment) -> list[Remark]:
    """That the chances are exact and the advice is not."""
    if not found.posterior.is_wide or found.posterior.bounds is not None:
        return []
    return [
        Remark(
            "!",
            "Estimated: what comes next, and how much each answer says. The chances are exact.",
            f"{found.posterior.width} signs that are present or doubtful hang together",
        )
    ]


def settling_check(snapshot: Snapshot) -> str | None:
    """What to ask to settle a doubtful sign: an answer that was fairly sure, or a complaint."""
    book = snapshot.book
    for given in snapshot.state.answers.values():
        if given.sure == "fairly" and given.check in book.checks:
            return book.checks[given.check].ask
    if snapshot.assessment is None:
        return None
    at = snapshot.assessment.situation
    told = {sign for name in at.history.symptoms for sign in book.symptoms[name].signs}
    return next((book.checks[c].ask for c in at.asked if told & set(book.checks[c].signs)), None)


def doubted_checks(snapshot: Snapshot) -> list[str]:
    """The checks whose answers sit badly with the rest, worst first, each once."""
    found = snapshot.assessment.conflict.worst_first if snapshot.assessment else ()
    checks = (ref.check for ref, _ in found if isinstance(ref, Given))
    return [check for check in dict.fromkeys(checks) if check in snapshot.book.checks]


def next_doubted(snapshot: Snapshot, at_hand: str) -> str | None:
    """The check to ask again: the worst, or the next one after the check at hand."""
    checks = doubted_checks(snapshot)
    after = checks.index(at_hand) + 1 if at_hand in checks else 0
    return checks[after % len(checks)] if checks else None


def _clashes(snapshot: Snapshot, found: Assessment) -> list[Remark]:
    """Rules that name a conflict, then what sits badly with the rest, worst first."""
    told = [Remark("!", c.text, _because(snapshot, c.because)) for c in found.conclusions.conflicts]
    for place, (ref, nats) in enumerate(found.conflict.worst_first):
        badly = "badly with the rest, too" if place else "worst with the rest"
        again = ""
        if isinstance(ref, Given) and ref.check in snapshot.book.checks:
            again = " Another g asks it." if place else " g asks it again."
        told.append(
            Remark(
                "!",
                f"Sits {badly}: {_ref(snapshot, ref)}.{again}",
                f"beside the other answers it is {exp(min(nats, 20.0)):.0f} times less likely than"
                " by itself",
            )
        )
    return told


def _ref(snapshot: Snapshot, ref: Given | str) -> str:
    """An answer before its question, so that a short line still has it; or a complaint."""
    check = snapshot.book.checks.get(ref.check) if isinstance(ref, Given) else None
    if check is None or not isinstance(ref, Given) or ref.answer not in check.answers:
        return f"'{ref_in_words(snapshot.book, ref)}'"
    return f"'{answer_says(check, ref.answer)}'{SURE_WORDS[ref.sure]}, to '{check.ask}'"


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
