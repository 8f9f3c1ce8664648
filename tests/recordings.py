"""Measurements made by hand, for what is done with them."""

from __future__ import annotations

from diag.measure.result import Curve, Figure, Measurement


def speed_found(percent: float, within: float, points: int = 600) -> Measurement:
    """A speed error with its uncertainty, with a curve of it over time."""
    return Measurement(
        what="speed",
        figures=(
            Figure(
                key="speed_error_percent",
                says="Speed error",
                value=percent,
                uncertainty=within,
                unit="%",
            ),
        ),
        curves=(
            Curve(
                name="speed",
                says="Speed error over time",
                x=tuple(n / 10 for n in range(points)),
                y=tuple(percent + within * (n % 7 - 3) / 3 for n in range(points)),
                x_unit="s",
                y_unit="%",
            ),
        ),
        remarks=("It runs slow throughout.",),
        source="common_practice",
        likely=(("capstan", 0.7), ("unknown", 0.3)),
    )
