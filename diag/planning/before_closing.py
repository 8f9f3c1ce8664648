"""What to look at and to do before a layer is closed.

Three things make a look due while there is still light on the place:

- opening a layer may have brought a cause about (`upsets` of the layer and of those under it);
- a remedy was done, and nothing has shown since whether it took;
- coming back would be dear: what `while_open` finds worth its minutes at the layers that close.

Each cause of the first two kinds counts for one look only (`suspects`); causes of one look are
added up as if only one of them were there, which is near the truth while all are unlikely.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from diag.model.words import chance_in_words
from diag.planning.blocks import LEAST_MINUTES
from diag.planning.reasons import minutes_in_words
from diag.planning.situation import Situation
from diag.planning.suspects import Look, Suspect, looks_due, suspects
from diag.planning.while_open import InHere

Because = Literal["upset", "mended", "dear"]

WORTH_TELLING = 0.005
"""A cause less likely than this is not told of: one deck in two hundred."""


@dataclass(frozen=True, slots=True)
class Before:
    """One thing to do before a layer is closed.

    `because` says which of the three reasons it has; `causes` are those that a look is for, the
    likeliest first, with their probability now, and `remedies` what mends them at the layers that
    close. A step that is not worth its minutes by the figures is listed all the same when the
    opening or a remedy is the reason for it.
    """

    because: Because
    kind: Literal["check", "remedy"]
    id: str
    minutes: float
    saving: float
    why: str
    causes: tuple[tuple[str, float], ...] = ()
    remedies: tuple[str, ...] = ()

    @property
    def is_worth_it(self) -> bool:
        """Whether it is expected to save more minutes than it takes."""
        return self.saving > self.minutes


@dataclass(frozen=True, slots=True)
class BeforeClosing:
    """What closing a layer calls for.

    `first` is what to do before, in order. `unseen` are causes that the opening or a remedy may
    have left, with their probability, that no look at an open layer shows: the final test has to.
    """

    first: tuple[Before, ...]
    unseen: tuple[tuple[str, float], ...]


def before_closing(at: Situation, layer: str, worth: Sequence[InHere]) -> BeforeClosing:
    """What to look at and to do before a layer is closed, with those under it.

    Args:
        at: the situation.
        layer: an open layer, or the layer of the closed deck to close everything.
        worth: what is worth doing while the deck is open, as `worth_while_open` finds it.
    """
    shuts = frozenset(n for n in at.open_layers if layer in (*at.book.ways[n], at.book.outside))
    looks, unseen = _looks(at, layer, shuts)
    told = {step.id: step.saving for step in worth if step.kind == "check"}
    looks = [replace(step, saving=max(step.saving, told.get(step.id, 0.0))) for step in looks]
    listed = {look.id for look in looks}
    dear = [
        Before("dear", step.kind, step.id, step.minutes, step.saving, step.why)
        for step in worth
        if step.layer in shuts and step.id not in listed
    ]
    return BeforeClosing(tuple(sorted([*looks, *dear], key=_order)), unseen)


def _order(step: Before) -> tuple[bool, bool, float, str]:
    """Worth its minutes first; what the opening did before what was there; then by rate."""
    rate = step.saving / max(step.minutes, LEAST_MINUTES)
    return (not step.is_worth_it, step.because == "dear", -rate, step.id)


def _looks(
    at: Situation, layer: str, shuts: frozenset[str]
) -> tuple[list[Before], tuple[tuple[str, float], ...]]:
    """One step for each look that is due, and the causes that none shows."""
    for_look: dict[str, list[tuple[float, Suspect]]] = {}
    unseen: list[tuple[str, float]] = []
    for suspect in suspects(at, layer):
        if at.now.causes[suspect.cause] < WORTH_TELLING:
            continue
        looks = looks_due(at, suspect)
        if not looks and not suspect.seen:
            unseen.append((suspect.cause, at.now.causes[suspect.cause]))
        if best := _best(at, suspect.cause, looks, shuts):
            for_look.setdefault(best.check, []).append((best.saving, suspect))
    steps = [_step(at, check, found, shuts) for check, found in for_look.items()]
    return steps, tuple(sorted(unseen, key=lambda told: (-told[1], told[0])))


def _best(at: Situation, cause: str, looks: Sequence[Look], shuts: frozenset[str]) -> Look | None:
    """The look for a cause that saves most for a minute; None if the cause can wait.

    It can when it may still be mended once the layer is closed, and what can be looked at then
    shows it as surely as what can be looked at now only.
    """
    places = {at.book.remedies[remedy].at for remedy in at.book.causes[cause].mended_by}
    if not places & shuts or any(not at.ways[place].opens for place in places - shuts):
        later = max((look.shown for look in looks if look.at not in shuts), default=0.0)
        looks = [look for look in looks if look.at in shuts and look.shown > later]
    return max(looks, key=lambda look: (look.saves, look.check), default=None)


def _step(
    at: Situation, check: str, found: list[tuple[float, Suspect]], shuts: frozenset[str]
) -> Before:
    now = at.now.causes
    left = sorted((s for _, s in found), key=lambda s: (-now[s.cause], s.cause))
    minutes = at.book.checks[check].minutes
    remedies = (remedy for s in left for remedy in at.book.causes[s.cause].mended_by)
    return Before(
        "mended" if all(s.remedy for s in left) else "upset",
        "check",
        check,
        minutes,
        sum(saving for saving, _ in found),
        f"{minutes_in_words(minutes)}, and it shows {_shown(at, left)}.",
        tuple((s.cause, now[s.cause]) for s in left),
        tuple(r for r in dict.fromkeys(remedies) if at.book.remedies[r].at in shuts),
    )


def _shown(at: Situation, left: Sequence[Suspect]) -> str:
    """What a look shows: what the opening may have left, and whether a remedy took."""
    told = {
        s.cause: f"'{at.book.causes[s.cause].says}' ({chance_in_words(at.now.causes[s.cause])})"
        for s in left
    }
    upset = " or ".join(told[s.cause] for s in left if not s.remedy)
    parts = [f"{upset}, which the opening may have brought about"] if upset else []
    for remedy in dict.fromkeys(s.remedy for s in left if s.remedy):
        still = " or ".join(told[s.cause] for s in left if s.remedy == remedy)
        parts.append(f"whether '{at.book.remedies[remedy].says}' took, or {still} is still there")
    return ", and ".join(parts)
