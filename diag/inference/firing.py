"""Triggers fired one by one: into a table, or as a cause of many bits into a factor; and back."""

from __future__ import annotations

import numpy as np

from diag.inference.program import Fire, Trigger
from diag.inference.values import Array, Values


def fire(view: Array, trigger: Trigger, values: Values) -> None:
    """Let a trigger fire: move its share of the mass to the states in which its bits are set.

    The view has one axis for each bit, the rows last; it is changed in place.
    """
    if trigger.unset is not None:
        unset = view[trigger.unset]
        if trigger.axes:
            view[trigger.all_set] += values.fires[trigger.slot] * unset
        unset *= values.quiet[trigger.slot]
        return
    share = view[trigger.held]
    if trigger.axes:
        share = share.sum(axis=trigger.axes, keepdims=True)
    share = values.fires[trigger.slot] * share
    view *= values.quiet[trigger.slot]
    view[trigger.all_set] += share


def _fire_back(view: Array, trigger: Trigger, values: Values) -> None:
    """The transpose of `fire`."""
    if trigger.unset is not None:
        unset = view[trigger.unset]
        unset *= values.quiet[trigger.slot]
        if trigger.axes:
            unset += values.fires[trigger.slot] * view[trigger.all_set]
        return
    share = values.fires[trigger.slot] * view[trigger.all_set]
    view *= values.quiet[trigger.slot]
    view[trigger.held] += share


def fired(step: Fire, given: Array, values: Values) -> Array:
    """A factor after a cause, shape (states, rows)."""
    opened = _opened(step, given)
    found = np.zeros_like(opened)
    for mode, triggers in step.modes:
        part = opened * values.weights[mode]
        for trigger in triggers:
            fire(part, trigger, values)
        found += part
    return found.reshape(-1, given.shape[-1])


def fired_back(step: Fire, given: Array, after: Array, values: Values, joint: Array) -> Array:
    """What follows each state of the factor given, from what follows each state after the cause.

    Fills `joint` (modes, rows) with the mass of each of the cause's modes.
    """
    opened = _opened(step, given)
    found = np.zeros_like(opened)
    for mode, triggers in step.modes:
        part = after.reshape(opened.shape).copy()
        for trigger in reversed(triggers):
            _fire_back(part, trigger, values)
        part *= values.weights[mode]
        joint[mode] = (opened * part).reshape(-1, given.shape[-1]).sum(axis=0)
        found += part
    before: Array = found[step.unset].sum(axis=step.opened)
    return before.reshape(given.shape)


def _opened(step: Fire, given: Array) -> Array:
    """The factor with all bits, one axis for each: those that it lacked are unset."""
    rows = given.shape[-1:]
    found = np.zeros((2,) * step.bits + rows)
    found[step.unset] = given.reshape(step.view + rows)
    return found
