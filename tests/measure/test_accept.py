"""Verdicts follow the interval of a figure, never its value alone."""

from __future__ import annotations

from dataclasses import dataclass
from math import nan

import pytest

from diag.errors import MeasureError
from diag.measure.accept import judged
from diag.measure.result import Figure, Measurement
from diag.model.figures import Name, SourceId
from diag.model.specification import Limit, Specification


def limit(key: str, unit: str = "%", **given: float) -> Limit:
    """A limit on a figure."""
    return Limit(id=key, says="it", unit=unit, **given)


def specification(*limits: Limit) -> Specification:
    """Some limits."""
    by_key = {Name(one.id): one for one in limits}
    return Specification(id="some", says="some", source=SourceId("from_memory"), limits=by_key)


def measured(key: str, value: float, uncertainty: float, unit: str = "%") -> Measurement:
    """One figure."""
    figure = Figure(key=key, says="it", value=value, uncertainty=uncertainty, unit=unit)
    return Measurement(what="speed", figures=(figure,), source="from_memory")


@pytest.mark.parametrize(
    ("value", "otherwise", "verdict"),
    [(-2.4, 2.5, "fail"), (-2.5, 4.0, "fail"), (-1.0, 3.9, "not sure"), (0.3, -0.4, "pass")],
)
def test_figure_that_may_be_another_is_judged_by_both(
    value: float, otherwise: float, verdict: str
) -> None:
    """Within 1.5 %, by arithmetic; the two must agree."""
    found = [
        measured("x_error_percent", value, 0.1),
        measured("x_error_otherwise_percent", otherwise, 0.1),
    ]
    (row,) = judged(found, found, specification(limit("x_error_percent", within=1.5)))
    assert (row.was, row.verdict) == (verdict, verdict)


@pytest.mark.parametrize(
    ("given", "value", "uncertainty", "verdict", "margin"),
    [
        # By arithmetic: the interval against what is allowed.
        ({"at_most": 0.2}, 0.1, 0.05, "pass", 0.1),
        ({"at_most": 0.2}, 0.18, 0.05, "not sure", 0.02),
        ({"at_most": 0.2}, 0.3, 0.05, "fail", -0.1),
        ({"at_most": 0.2, "tolerance": 0.04}, 0.18, 0.05, "pass", 0.06),
        ({"at_least": 20}, 25, 4, "pass", 5),
        ({"at_least": 20}, 22, 4, "not sure", 2),
        ({"at_least": 20}, 15, 4, "fail", -5),
        ({"at_least": 20, "tolerance": 2}, 22, 3, "pass", 4),
        ({"within": 1.5}, -1.2, 0.2, "pass", 0.3),
        ({"within": 1.5}, -1.4, 0.2, "not sure", 0.1),
        ({"within": 1.5}, -2.0, 0.2, "fail", -0.5),
        ({"within": 1.5}, 0.1, 3.0, "not sure", 1.4),
    ],
)
def test_verdict_and_margin(
    given: dict[str, float], value: float, uncertainty: float, verdict: str, margin: float
) -> None:
    """Pass if all of the interval is allowed, fail if none is, else not sure."""
    (row,) = judged(
        (), [measured("x_percent", value, uncertainty)], specification(limit("x_percent", **given))
    )
    assert row.verdict == verdict
    assert row.margin == pytest.approx(margin)
    assert (row.was, row.before) == ("not measured", None)


def test_before_and_after_stand_side_by_side() -> None:
    """In the order of the specification, with what nobody measured."""
    wanted = specification(limit("y_percent", at_most=1), limit("x_percent", within=1))
    rows = judged([measured("x_percent", 3, 0.1)], [measured("x_percent", 0.3, 0.1)], wanted)
    assert [row.key for row in rows] == ["y_percent", "x_percent"]
    assert (rows[0].was, rows[0].verdict, rows[0].margin) == ("not measured",) * 2 + (None,)
    assert (rows[1].was, rows[1].verdict) == ("fail", "pass")
    assert rows[1].wanted == "±1 %"
    assert rows[1].source == "from_memory"


@pytest.mark.parametrize(
    ("key", "given", "verdict"),
    [
        ("depth_at_least_db", {"at_least": 60}, "pass"),
        ("depth_at_least_db", {"at_least": 80}, "not sure"),
        ("depth_at_least_db", {"at_most": 60}, "fail"),
        ("depth_at_most_db", {"at_most": 80}, "pass"),
        ("depth_at_most_db", {"at_most": 60}, "not sure"),
        ("depth_at_most_db", {"at_least": 80}, "fail"),
    ],
)
def test_bound_is_open_on_one_side(key: str, given: dict[str, float], verdict: str) -> None:
    """A depth of 70 dB at least may be any depth beyond."""
    wanted = specification(limit("depth_db", "dB", **given))
    (row,) = judged((), [measured(key, 70, 1, "dB")], wanted)
    assert row.verdict == verdict


def test_what_is_no_number_settles_nothing() -> None:
    """Neither pass nor fail."""
    (row,) = judged(
        (), [measured("x_percent", nan, 1)], specification(limit("x_percent", within=1))
    )
    assert row.verdict == "not sure"


def test_units_are_not_mixed() -> None:
    """A limit in dB says nothing of a figure in percent."""
    with pytest.raises(MeasureError, match="told in %, but its limit is in dB"):
        judged(
            (), [measured("x_percent", 1, 1)], specification(limit("x_percent", "dB", at_most=1))
        )


@dataclass(frozen=True)
class Kept:
    """What a case keeps of a measurement has figures, too."""

    figures: tuple[Figure, ...]


def test_kept_figures_are_judged_as_well() -> None:
    """Anything that has figures will do."""
    kept = Kept(measured("x_percent", 0.1, 0.01).figures)
    (row,) = judged([kept], [], specification(limit("x_percent", at_most=1)))
    assert (row.was, row.verdict) == ("pass", "not measured")


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({}, "one of at_most, at_least and within"),
        ({"at_most": 1, "within": 2}, "one of at_most, at_least and within"),
        ({"at_most": 1, "tolerance": -1}, "can't be below 0"),
        ({"within": -1}, "can't be below 0"),
    ],
)
def test_limit_that_means_nothing_is_refused(given: dict[str, float], told: str) -> None:
    """When it is made."""
    with pytest.raises(ValueError, match=told):
        limit("x_percent", **given)
