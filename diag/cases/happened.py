"""What every event of a case has."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from diag.errors import CaseError


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """When it happened, in UTC."""

    at: datetime

    def __post_init__(self) -> None:
        """Refuse a time without its zone: a case may travel to another one."""
        if self.at.utcoffset() != timedelta(0):
            raise CaseError("The time of the event is not in UTC.", do="Give it in UTC.")


def check_one_of(value: object, allowed: tuple[str, ...], what: str) -> None:
    """Refuse a word that is none of those that there are."""
    if value not in allowed:
        raise CaseError(
            f"The {what} is none of those that there are.", do=f"Give {' or '.join(allowed)}."
        )
