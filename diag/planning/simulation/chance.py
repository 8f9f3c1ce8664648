"""Chances that come out the same whoever asks, and in whatever order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import blake2b
from typing import TypeVar

Value = TypeVar("Value")

BITS = 64
"""Bits of a hash that make one number."""


@dataclass(frozen=True, slots=True)
class Chance:
    """Draws by name: the same seed and name always give the same draw.

    Policies that are tried on one deck meet the same luck where they do the same, however much
    else they did before (common random numbers), so that fewer decks tell them apart.
    """

    seed: str

    def number(self, *name: object) -> float:
        """Uniform in [0, 1)."""
        text = "/".join((self.seed, *map(str, name)))
        digest = blake2b(text.encode(), digest_size=BITS // 8).digest()
        return int.from_bytes(digest, "big") / (1 << BITS)

    def happens(self, probability: float, *name: object) -> bool:
        """True with this probability."""
        return self.number(*name) < probability

    def shuffled(self, values: Sequence[Value], *name: object) -> list[Value]:
        """The values in a drawn order."""
        return [value for _, _, value in sorted(self._keyed(values, *name), key=lambda k: k[:2])]

    def _keyed(self, values: Sequence[Value], *name: object) -> list[tuple[float, int, Value]]:
        return [(self.number(*name, at), at, value) for at, value in enumerate(values)]
