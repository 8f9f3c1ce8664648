"""What is to be solved, with no word about decks: causes with modes, and evidence bits.

A cause is in exactly one of its modes. In a mode, each trigger fires independently with its
probability and sets its bits; a bit is set if any trigger sets it. The evidence on a bit is a
pair of likelihoods, (if not set, if set). A leak is a cause of one mode.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from diag.inference.elimination import Component, Outline, components
from diag.inference.factors import Factor, factors
from diag.inference.layout import Cause, ModeLinks, program
from diag.inference.masks import positions
from diag.inference.program import Program
from diag.inference.values import Array, Indices


class Mode(NamedTuple):
    """One way for a cause to be.

    `weight` is its probability, times that of whatever it is known not to have fired; a trigger
    is (probability, mask of bits); no mask is empty, and no two of a mode are the same.
    """

    weight: float
    triggers: tuple[tuple[float, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Singles:
    """The causes that reach one bit only: they fold into that bit's opening.

    `modes`, `slots` and `owner` go by mode, `first` gives each such cause's first mode, `bits`
    each such cause's bit and `places` its place among those of its bit. `table` (bits, places)
    gives the cause at each place, -1 if there is none.
    """

    modes: Indices
    slots: Indices
    owner: Indices
    first: Indices
    bits: Indices
    places: Indices
    table: Indices


class _Numbers(NamedTuple):
    """By cause: its bits, its first mode and its first trigger. Weights by mode, fires by slot."""

    masks: list[int]
    begins: list[int]
    slots: list[int]
    weights: list[float]
    fires: list[float]


@dataclass(frozen=True)
class Problem:
    """Causes and evidence pairs. The plan of its solution is made once and kept with it."""

    causes: tuple[tuple[Mode, ...], ...]
    pairs: tuple[tuple[float, float], ...]

    @cached_property
    def _numbers(self) -> _Numbers:
        """Everything that goes through all causes, in one pass: most of them have no trigger."""
        masks: list[int] = []
        begins: list[int] = []
        slots: list[int] = []
        weights: list[float] = []
        fires: list[float] = []
        for modes in self.causes:
            mask = 0
            begins.append(len(weights))
            slots.append(len(fires))
            for weight, triggers in modes:
                weights.append(weight)
                for chance, bits in triggers:
                    fires.append(chance)
                    mask |= bits
            masks.append(mask)
        return _Numbers(masks, begins, slots, weights, fires)

    @cached_property
    def masks(self) -> Sequence[int]:
        """For each cause, the bits that it can set in some mode."""
        return self._numbers.masks

    @cached_property
    def begins(self) -> Sequence[int]:
        """The number of each cause's first mode; modes are numbered through all causes."""
        return self._numbers.begins

    @cached_property
    def first(self) -> Indices:
        """The same as an array."""
        return _indices(self.begins)

    @cached_property
    def owner(self) -> Indices:
        """For each mode, the number of its cause."""
        counts = np.diff([*self.begins, len(self.weights)])
        return np.repeat(np.arange(len(counts)), counts)

    @cached_property
    def weights(self) -> Array:
        """Weight of every mode, shape (modes,)."""
        return np.array(self._numbers.weights, dtype=float)

    @cached_property
    def fires(self) -> Array:
        """Probability of every trigger in order, shape (slots + 1,); the last one never fires."""
        return np.array([*self._numbers.fires, 0.0])

    def laid(self, cause: int) -> Cause:
        """A cause's modes as (number of the mode, ((slot, mask), ...))."""
        number, slot = self._numbers.begins[cause], self._numbers.slots[cause]
        found: list[tuple[int, ModeLinks]] = []
        for at, (_, triggers) in enumerate(self.causes[cause], number):
            found.append((at, tuple((s, bits) for s, (_, bits) in enumerate(triggers, slot))))
            slot += len(triggers)
        return tuple(found)

    @cached_property
    def factors(self) -> list[Factor]:
        """The factors of all causes of two bits or more."""
        return self.factors_of((1 << len(self.pairs)) - 1)

    def factors_of(self, kept: int) -> list[Factor]:
        """The same if only the bits of the mask `kept` were there."""
        kept_masks = [mask & kept for mask in self.masks]
        return factors(kept_masks, [len(modes) for modes in self.causes], self._summed)

    @cached_property
    def components(self) -> list[Component]:
        """Components of the bits that causes couple, and how each is eliminated."""
        return self.components_of(self.factors)

    def components_of(self, factors: Sequence[Factor]) -> list[Component]:
        """The same for other factors of this problem."""
        outlines = [Outline(f.bits, 0 if f.is_table else self._fired(f)) for f in factors]
        return components(outlines, ~self._summed & (1 << len(self.pairs)) - 1)

    def _fired(self, factor: Factor) -> int:
        """Triggers of a factor that is one cause."""
        (cause,) = factor.causes
        reached = (bits & factor.bits for mode in self.causes[cause] for _, bits in mode.triggers)
        return sum(map(bool, reached))

    @cached_property
    def width(self) -> int:
        """The most bits of a product, known before anything is computed."""
        return max((c.width for c in self.components), default=min(1, len(self.pairs)))

    @cached_property
    def summed(self) -> Indices:
        """The bits whose evidence speaks against them; factors hold them as sums."""
        return _indices(positions(self._summed))

    @cached_property
    def held(self) -> Indices:
        """Those of them that a component has."""
        return _indices([bit for bit in self.summed.tolist() if bit not in self.lone])

    @cached_property
    def _summed(self) -> int:
        against = (bit for bit, (absent, present) in enumerate(self.pairs) if absent >= present)
        return sum(1 << bit for bit in against)

    @cached_property
    def coupled(self) -> tuple[Program, ...]:
        """Every component laid out for its elimination."""
        causes = {c: self.laid(c) for factor in self.factors for c in factor.causes}
        return tuple(program(each, self.factors, causes, self._summed) for each in self.components)

    @cached_property
    def lone(self) -> Indices:
        """Bits that no component has."""
        coupled = 0
        for component in self.components:
            coupled |= component.bits
        return _indices([bit for bit in range(len(self.pairs)) if not coupled >> bit & 1])

    @cached_property
    def singles(self) -> Singles:
        """The causes that reach exactly one bit."""
        at_bit: list[list[int]] = [[] for _ in self.pairs]
        first: list[int] = []
        spots: list[tuple[int, int]] = []
        by_mode: list[tuple[int, int, int]] = []
        for cause, mask in enumerate(self.masks):
            if mask.bit_count() != 1:
                continue
            here = at_bit[mask.bit_length() - 1]
            spots.append((mask.bit_length() - 1, len(here)))
            here.append(len(first))
            first.append(len(by_mode))
            for number, links in self.laid(cause):
                by_mode.append((number, links[0][0] if links else -1, len(first) - 1))
        most = max(map(len, at_bit), default=0)
        table = [[*here, *[-1] * (most - len(here))] for here in at_bit]
        modes, slots, owner = np.array(by_mode, dtype=np.intp).reshape(-1, 3).T
        bits, places = np.array(spots, dtype=np.intp).reshape(-1, 2).T
        at = np.array(table, dtype=np.intp).reshape(len(table), most)
        return Singles(modes, slots, owner, _indices(first), bits, places, at)


def _indices(numbers: Sequence[int]) -> Indices:
    return np.array(numbers, dtype=np.intp)
