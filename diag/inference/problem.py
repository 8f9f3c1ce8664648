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

from diag.inference.grouping import Group, groups
from diag.inference.layout import Cause, Indices, ModeLinks, Step, program
from diag.inference.order import Component, components, positions
from diag.inference.sweep import Array


class Mode(NamedTuple):
    """One way for a cause to be.

    `weight` is its probability, times that of whatever it is known not to have fired; a trigger
    is (probability, mask of bits), and no two triggers of a mode have the same mask.
    """

    weight: float
    triggers: tuple[tuple[float, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Coupled:
    """A component with its sweep, and the numbers that it depends on."""

    component: Component
    steps: tuple[Step, ...]
    modes: Indices
    slots: Indices
    bits: Indices


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
    def groups(self) -> list[Group]:
        """The causes of two bits or more, by the steps that sweep them."""
        return groups(self.masks, self._summed)

    @cached_property
    def reach(self) -> list[int]:
        """For each group, the bits that its causes can set."""
        return [group.bits for group in self.groups]

    @cached_property
    def components(self) -> list[Component]:
        """Components of the bits that causes couple, each with its groups in sweep order."""
        return components(self.reach)

    @cached_property
    def width(self) -> int:
        """The greatest number of bits open at once, known before the sweep."""
        return max((c.width for c in self.components), default=min(1, len(self.pairs)))

    @cached_property
    def summed(self) -> Indices:
        """The bits whose evidence speaks against them; the sweep holds them as sums."""
        return _indices(positions(self._summed))

    @cached_property
    def _summed(self) -> int:
        against = (bit for bit, (absent, present) in enumerate(self.pairs) if absent >= present)
        return sum(1 << bit for bit in against)

    @cached_property
    def coupled(self) -> tuple[Coupled, ...]:
        """Every component laid out for the sweep."""
        return tuple(self._coupled(component) for component in self.components)

    @cached_property
    def lone(self) -> Indices:
        """Bits that no sweep opens."""
        swept = 0
        for component in self.components:
            swept |= component.bits
        return _indices([bit for bit in range(len(self.pairs)) if not swept >> bit & 1])

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

    def _coupled(self, component: Component) -> Coupled:
        order = [self.groups[at] for at in component.steps]
        causes = [[self.laid(cause) for cause in group.causes] for group in order]
        steps = program(causes, [group.bits for group in order], self._summed)
        modes = [mode for step in steps for mode in step.tables.modes.tolist()]
        slots = [slot for step in steps for slot in step.slots]
        bits = [bit for step in steps for bit in step.opens]
        return Coupled(component, steps, _indices(modes), _indices(slots), _indices(bits))


def _indices(numbers: Sequence[int]) -> Indices:
    return np.array(numbers, dtype=np.intp)
