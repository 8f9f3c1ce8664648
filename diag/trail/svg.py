"""Curves as a picture within a page: no script, nothing from elsewhere."""

from __future__ import annotations

from collections.abc import Iterator

from diag.model.clean import html_text as text
from diag.model.found import Curve
from diag.trail.axes import Axes, axes_of, mark_words
from diag.trail.before_after import CurvePair

WIDTH, HEIGHT = 640, 240
LEFT, RIGHT, TOP, BOTTOM = 56, 12, 26, 34
"""Room around the curves for marks and units."""

STYLE = """
svg.curves { width: 100%; height: auto; break-inside: avoid; font: 11px Verdana, sans-serif;
  fill: #1d1b18; }
svg .grid { stroke: #ddd6c6; stroke-width: 1; }
svg .before, svg .after { fill: none; stroke: #6b5b3e; stroke-width: 1.2; }
svg .before { stroke-dasharray: 4 3; }
svg .after { stroke: #1d1b18; stroke-width: 1.6; }
"""


def picture(pair: CurvePair) -> str:
    """A curve before (dashed) and after (solid) on the same axes, as one element of HTML."""
    return "".join(_parts(pair, axes_of(pair.curves)))


def _parts(pair: CurvePair, axes: Axes) -> Iterator[str]:
    drawn = [name for name in ("before", "after") if getattr(pair, name) is not None]
    legend = "before: dashed, after: solid" if len(drawn) > 1 else drawn[0]
    says = f"{pair.title} ({legend})"
    yield (
        f'<svg class="curves" viewBox="0 0 {WIDTH} {HEIGHT}" role="img">'
        f"<title>{text(says)}</title>"
        f'<text x="{LEFT}" y="14">{text(says)}</text>'
    )
    for mark in axes.up.marks:
        y = _down(axes, mark)
        yield f'<line class="grid" x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y}" y2="{y}"/>'
        yield f'<text x="{LEFT - 6}" y="{y + 4:.1f}" text-anchor="end">{mark_words(mark)}</text>'
    for mark in axes.across.marks:
        x = _right(axes, mark)
        yield f'<line class="grid" x1="{x}" x2="{x}" y1="{TOP}" y2="{HEIGHT - BOTTOM}"/>'
        yield (
            f'<text x="{x}" y="{HEIGHT - BOTTOM + 14}" text-anchor="middle">'
            f"{mark_words(mark)}</text>"
        )
    yield f'<text x="{WIDTH - RIGHT}" y="{HEIGHT - 4}" text-anchor="end">{text(axes.x_unit)}</text>'
    for name in drawn:
        yield _line(getattr(pair, name), name, axes)
    yield "</svg>"


def _line(curve: Curve, name: str, axes: Axes) -> str:
    points = " ".join(
        f"{_right(axes, x)},{_down(axes, y)}" for x, y in zip(curve.x, curve.y, strict=True)
    )
    return f'<polyline class="{name}" points="{points}"/>'


def _right(axes: Axes, x: float) -> float:
    return round(LEFT + axes.across.place(x) * (WIDTH - LEFT - RIGHT), 1)


def _down(axes: Axes, y: float) -> float:
    return round(HEIGHT - BOTTOM - axes.up.place(y) * (HEIGHT - TOP - BOTTOM), 1)
