"""Choosing what the figures of a deck are held against."""

from __future__ import annotations

from functools import partial
from math import isinf
from typing import TYPE_CHECKING

from diag.cases.held_against import HeldAgainst, KeptLimit, KeptSize
from diag.model.specification import Limit, Specification

if TYPE_CHECKING:
    from diag.session.session import Session
    from diag.session.snapshot import Snapshot


def hold_against(session: Session, specification: Specification) -> Snapshot:
    """Let the case keep the limits and sizes of a specification, as they stand now."""
    kept = tuple(_kept(str(key), limit) for key, limit in specification.limits.items())
    source = str(specification.source)
    sizes = tuple(KeptSize(key=key, value=value) for key, value in specification.sizes.items())
    given = (specification.id, specification.says, source, kept, sizes)
    return session.write(partial(HeldAgainst, *given))


def _kept(key: str, limit: Limit) -> KeptLimit:
    lowest, highest = (None if isinf(bound) else bound for bound in limit.allowed)
    return KeptLimit(
        key=key,
        says=limit.says,
        unit=limit.unit,
        in_words=limit.in_words,
        lowest=lowest,
        highest=highest,
        source=str(limit.source or ""),
    )
