"""What an open deck calls for, in words for any screen: in here, and before a layer is closed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diag.model.words import chance_in_words
from diag.planning.reasons import not_worth_it

if TYPE_CHECKING:
    from diag.planning.before_closing import Before, BeforeClosing
    from diag.planning.while_open import InHere
    from diag.session.snapshot import Snapshot


def in_here(snapshot: Snapshot, at_hand: str) -> list[InHere]:
    """What is worth doing at the open layers besides the step at hand, best first."""
    found = snapshot.assessment.in_here if snapshot.assessment else ()
    return [step for step in found if step.id != at_hand]


def reason_before_closing(snapshot: Snapshot, step: Before) -> str:
    """Why a step comes before closing, whether it pays, and what mends in there what it shows."""
    why = step.why if step.is_worth_it else f"{step.why} {not_worth_it()}"
    mends = [snapshot.book.remedies[remedy].says for remedy in step.remedies]
    return f"{why} Mended in here by: {'; '.join(mends)}." if mends else why


def unseen_in_words(snapshot: Snapshot, told: BeforeClosing | None) -> str:
    """What may have been left that no look at the open layers shows; empty if nothing."""
    causes = snapshot.book.causes
    left = [f"{causes[c].says} ({chance_in_words(p)})" for c, p in (told.unseen if told else ())]
    return f"No look in here shows: {'; '.join(left)}. The final test has to." if left else ""
