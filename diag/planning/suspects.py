"""Causes that work at a layer may have left behind, and the looks that show them.

What a look saves, where the cause would else be found by the closed deck:

    saving = p * d * (w + t)

with `p` the probability that the cause is there now, `d` the chance that the look shows it, `w` the
way back to the place of its nearest remedy once the deck is closed, and `t` the minutes of the
final test, which fails for it and is done again. The search for the cause is left out. The
probabilities are the book's own, carried through the history by the posterior; the formula is
derived here, and has no other source.
"""

from __future__ import annotations

from dataclasses import dataclass

from diag.model.history import Given, Mended, Opened
from diag.model.trait import fits
from diag.planning.blocks import LEAST_MINUTES
from diag.planning.final_test import retest_minutes
from diag.planning.situation import Situation
from diag.planning.while_open import way_back


@dataclass(frozen=True, slots=True)
class Suspect:
    """A cause that an opening may have brought about, or a remedy not have cured.

    `remedy` is empty for an opening. `seen` are the checks that can show the cause and were
    answered since.
    """

    cause: str
    remedy: str
    seen: frozenset[str]


@dataclass(frozen=True, slots=True)
class Look:
    """A check at an open layer that shows a suspect, and the chance that it does if it is there."""

    check: str
    at: str
    shown: float
    minutes: float
    saving: float

    @property
    def saves(self) -> float:
        """Minutes saved for each minute of looking."""
        return self.saving / max(self.minutes, LEAST_MINUTES)


def suspects(at: Situation, layer: str) -> tuple[Suspect, ...]:
    """What openings of a layer or of those under it, and remedies there, may have left.

    Each cause is named once, for the last step that touched it.
    """
    found: dict[str, tuple[int, str]] = {}
    for number, step in enumerate(at.history.steps):
        if isinstance(step, Opened):
            place, remedy = step.layer, ""
            causes = tuple(str(cause) for cause in at.book.layers[place].upsets)
        elif isinstance(step, Mended):
            place, remedy = at.book.remedies[step.remedy].at, step.remedy
            causes = at.book.mends[remedy]
        else:
            continue
        if layer in (*at.book.ways[place], at.book.outside):
            found |= dict.fromkeys(causes, (number, remedy))
    return tuple(
        Suspect(cause, remedy, _seen(at, cause, since))
        for cause, (since, remedy) in found.items()
        if cause in at.now.causes
    )


def looks_due(at: Situation, suspect: Suspect) -> list[Look]:
    """The looks at open layers that show a suspect and were not had since it came up.

    What is looked at from outside can wait for the closed deck, and is left to the final test.
    """
    cause = at.book.causes[suspect.cause]
    ways = (way_back(at, at.book.remedies[remedy].at) for remedy in cause.mended_by)
    back = min(ways, default=0.0)
    missed = at.now.causes[cause.id] * (back + retest_minutes(at))
    found = []
    for check in at.book.checks.values():
        if check.at not in at.open_layers or check.id in suspect.seen | at.put_aside:
            continue
        shown = max((q for sign, q in cause.shows.items() if sign in check.signs), default=0.0)
        if shown and fits(check.where, at.deck.traits):
            found.append(Look(check.id, check.at, shown, check.minutes, missed * shown))
    return found


def _seen(at: Situation, cause: str, since: int) -> frozenset[str]:
    shows = at.book.causes[cause].shows.keys()
    later = (step for step in at.history.steps[since + 1 :] if isinstance(step, Given))
    return frozenset(g.check for g in later if not shows.isdisjoint(at.book.checks[g.check].signs))
