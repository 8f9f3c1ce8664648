"""A comparison in plain text."""

from __future__ import annotations

from collections.abc import Iterator

from diag.planning.simulation.score import PolicyScore, Score

HEAD = (
    f"{'policy':22}{'minutes':>8}{'95 %':>12}{'9 in 10':>9}{'ratio':>7}{'95 %':>13}"
    f"{'strict':>8}{'mended':>8}{'left':>6}{'wasted':>8}{'steps':>7}{'planner':>9}"
)
NOTE = (
    "minutes: mean to all faults mended, a second visit for what was left included; 9 in 10: nine "
    "decks of ten take no longer; ratio: to the clairvoyant's minutes; strict: the same, the "
    "second visit as slow as the first instead of a clairvoyant's; mended: decks with no fault "
    "left; left: faults a deck; wasted: remedies a deck that had nothing to mend; "
    "planner: the planner's minutes over these."
)


def lines(score: Score) -> Iterator[str]:
    """The table of policies, what became of strange decks, and the calibration."""
    yield f"{score.decks} decks, {score.mean_faults:.1f} faults each."
    yield ""
    yield HEAD
    yield from (_row(name, each) for name, each in score.policies.items())
    yield ""
    yield NOTE
    if score.strange_decks:
        said = ", ".join(f"{name} {s:.0%}" for name, s in score.strange_called_outside.items())
        yield (
            f"{score.strange_decks} decks had a fault that the book doesn't know and are not in "
            f"the table. Called outside the book: {said}."
        )
    found = score.calibration
    yield (
        f"Chances after the intake: Brier score {found.brier:.4f} (by the mere share of faults "
        f"{found.brier_prior:.4f}), expected calibration error {found.ece:.4f}."
    )
    yield "stated   true   causes"
    yield from (f"{b.stated:6.1%} {b.true:6.1%} {b.count:8}" for b in found.bins)


def _row(name: str, each: PolicyScore) -> str:
    low, high = each.mean_interval
    below, above = each.ratio_interval
    return (
        f"{name:22}{each.mean_minutes:8.0f}{f'{low:.0f}-{high:.0f}':>12}{each.p90_minutes:9.0f}"
        f"{each.ratio_to_clairvoyant:7.2f}{f'{below:.2f}-{above:.2f}':>13}"
        f"{each.ratio_at_own_rate:8.2f}{each.all_mended_share:8.0%}{each.faults_left:6.2f}{each.unnecessary:8.2f}"
        f"{each.steps:7.0f}"
        + (f"{each.planner_ratio:9.2f}" if each.planner_ratio is not None else "")
    )
