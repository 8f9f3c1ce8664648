"""What was found by measuring: figures with their uncertainty, and curves to be drawn."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One figure.

    Attributes:
        key: quantity and unit, as in `speed_error_percent`; JSON has it and its twin
            `..._uncertainty`.
        says: the quantity in words.
        value: the value, in `unit`.
        uncertainty: half the width of an interval that holds the true value in 95 of 100 cases.
        unit: a symbol of `diag.model.units`, or empty.
    """

    key: str
    says: str
    value: float
    uncertainty: float
    unit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """A line to be drawn; `is_log` tells that x is drawn on a logarithmic axis."""

    name: str
    says: str
    x: tuple[float, ...]
    y: tuple[float, ...]
    x_unit: str
    y_unit: str
    is_log: bool = False
