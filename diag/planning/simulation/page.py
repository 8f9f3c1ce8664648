"""A comparison as one HTML page with its two plots."""

from __future__ import annotations

from collections.abc import Iterator

from diag.model.clean import html_text as text
from diag.model.html_page import page
from diag.planning.simulation.calibration import Calibration
from diag.planning.simulation.score import Score
from diag.planning.simulation.told import lines

STYLE = """
body { font: 15px/1.4 Arial, Helvetica, sans-serif; color: #1d1b18; max-width: 60em;
  margin: 1.5em auto; padding: 0 1em; }
h1 { font-size: 1.4em; border-bottom: 3px solid #6b5b3e; padding-bottom: .2em; }
h2 { font-size: 1.05em; color: #5a4a2f; }
pre { white-space: pre-wrap; font-size: .85em; }
svg { max-width: 100%; height: auto; font: 12px Arial, Helvetica, sans-serif; }
.bar { fill: #b59a5b; } .line { stroke: #1d1b18; fill: none; } .faint { stroke: #b9ac92; }
.dot { fill: #5a4a2f; }
"""

WIDE, ROW, LEFT = 640, 28, 170
"""Width of a plot, height of one row of bars, and room for names; in pixels."""
SIDE = 320
"""Side of the reliability plot in pixels."""


def html(family: str, score: Score) -> str:
    """The whole page, ending in a line end."""
    return page(f"Simulation of {family}", STYLE, _body(family, score))


def _body(family: str, score: Score) -> Iterator[str]:
    yield f"<h1>Decks drawn from the book '{text(family)}'</h1>"
    yield "<h2>Minutes to all faults mended (mean, with an interval of 95 %)</h2>"
    yield from _bars(score)
    yield "<h2>Chances after the intake: stated against true</h2>"
    yield from _reliability(score.calibration)
    yield "<h2>Figures</h2>"
    # A table of fixed columns: what lines it up in a terminal does so here.
    yield "<pre>" + "\n".join(map(_escaped, lines(score))) + "</pre>"


def _escaped(line: str) -> str:
    """`text` strips its line, and a table needs its indents."""
    return " " * (len(line) - len(line.lstrip())) + text(line)


def _bars(score: Score) -> Iterator[str]:
    most = max(each.mean_interval[1] for each in score.policies.values())
    scale = (WIDE - LEFT - 60) / most
    high = ROW * len(score.policies)
    yield f'<svg role="img" viewBox="0 0 {WIDE} {high}" width="{WIDE}" height="{high}">'
    yield "<title>Mean minutes of each policy</title>"
    for at, (name, each) in enumerate(score.policies.items()):
        top, middle = at * ROW, at * ROW + ROW / 2
        low, upper = (LEFT + scale * end for end in each.mean_interval)
        yield f'<text x="{LEFT - 8}" y="{middle + 4}" text-anchor="end">{text(name)}</text>'
        yield (
            f'<rect class="bar" x="{LEFT}" y="{top + 5}" width="{scale * each.mean_minutes:.1f}"'
            f' height="{ROW - 10}"/>'
        )
        yield f'<path class="line" d="M{low:.1f} {middle} H{upper:.1f}"/>'
        yield f'<text x="{upper + 6:.1f}" y="{middle + 4}">{each.mean_minutes:.0f} min</text>'
    yield "</svg>"


def _reliability(found: Calibration) -> Iterator[str]:
    """Stated against true share on root scales, since most causes are unlikely in any deck."""
    room = 40
    whole = SIDE + 2 * room
    yield f'<svg role="img" viewBox="0 0 {whole} {whole}" width="{whole}" height="{whole}">'
    yield "<title>Stated against true share of causes</title>"
    yield f'<path class="faint" d="M{room} {room + SIDE} L{room + SIDE} {room}"/>'
    for share in (0.0, 0.01, 0.05, 0.1, 0.25, 0.5, 1.0):
        x, y = room + SIDE * share**0.5, room + SIDE * (1 - share**0.5)
        yield f'<text x="{x:.0f}" y="{room + SIDE + 16}" text-anchor="middle">{share:.0%}</text>'
        yield f'<text x="{room - 6}" y="{y + 4:.0f}" text-anchor="end">{share:.0%}</text>'
    for each in found.bins:
        x, y = room + SIDE * each.stated**0.5, room + SIDE * (1 - each.true**0.5)
        yield f'<circle class="dot" cx="{x:.1f}" cy="{y:.1f}" r="4"/>'
    yield f'<text x="{room + SIDE / 2}" y="{whole - 6}" text-anchor="middle">stated</text>'
    yield f'<text x="{room}" y="{room - 14}" text-anchor="middle">true</text>'
    yield "</svg>"
