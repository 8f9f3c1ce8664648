"""The tables of factors: what the modes of causes do to bits, and back to the mass of each mode."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from diag.inference.firing import fire
from diag.inference.program import Tables
from diag.inference.values import Array, Values


def filled(tables: Tables, values: Values) -> Array:
    """Each mode's weight with what its triggers do, shape (modes, states, rows)."""
    count, bits, rows = len(tables.modes), len(tables.moved), values.weights.shape[1]
    found = np.empty((count, 1 << bits, rows))
    found[...] = values.weights[tables.modes][:, None]
    for axis, is_moved in enumerate(tables.moved):
        slots = tables.slots[axis]
        view = found.reshape(count, 1 << axis, 2, -1, rows)
        unset = view[:, :, 0]
        if is_moved:
            np.multiply(unset, values.fires[slots][:, None, None], out=view[:, :, 1])
        unset *= values.quiet[slots][:, None, None]
    for mode, trigger in tables.together:
        fire(found[mode].reshape((2,) * bits + (rows,)), trigger, values)
    return found


def by_cause(tables: Tables, full: Array) -> Array:
    """The sum of each cause's modes, shape (factors, causes, states, rows)."""
    shape = full.shape[1:]
    causes = len(tables.factors) * tables.causes
    found: Array = full.reshape(causes, -1, *shape).sum(axis=1)
    return found.reshape(len(tables.factors), tables.causes, *shape)


def by_factor(causes: Array) -> Iterator[Array]:
    """The array of each factor, shape (states, rows), from what `by_cause` returns."""
    if causes.shape[1] == 1:
        yield from causes[:, 0]
    else:
        yield from np.multiply.reduce(causes, axis=1)


def mode_masses(full: Array, causes: Array, back: Sequence[Array]) -> Array:
    """The mass of each mode, shape (modes, rows), from what follows each state of each factor."""
    around = np.stack(back)[:, None]
    if causes.shape[1] > 1:
        around = around * _without_each(causes)
    each = around.reshape(-1, *full.shape[1:])
    modes = full.reshape(len(each), -1, *full.shape[1:])
    found: Array = np.einsum("cmsr,csr->cmr", modes, each)
    return found.reshape(-1, full.shape[-1])


def _without_each(causes: Array) -> Array:
    """The product of the tables of all other causes of a factor, in the shape of `causes`."""
    found = np.ones_like(causes)
    count = causes.shape[1]
    for at in range(1, count):
        np.multiply(found[:, at - 1], causes[:, at - 1], out=found[:, at])
    after = np.ones_like(causes[:, 0])
    for at in range(count - 2, -1, -1):
        after *= causes[:, at + 1]
        found[:, at] *= after
    return found
