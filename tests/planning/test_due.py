"""When a remedy is due: what looking costs against mending in vain, likelihood and insurance."""

from __future__ import annotations

from dataclasses import replace

import pytest
from oracles import book_of, check_of
from situations import ids, situation

from diag.model.book import Book
from diag.model.figures import LayerId, Minutes
from diag.model.history import Given, Mended
from diag.planning.policy import next_steps, remedy_steps
from diag.planning.situation import Situation

LIKELY_IDLER = 0.7
"""Chance of the idler where a test says nothing else. Fitting a tyre in vain then costs 0.3 * 20
minutes, so that 6 minutes of looking are the break-even."""
FIT = (20.0, 0.95)
LID = 10.0
"""Minutes to open the lid and to close it."""
STANDS = Given("hub", "there")
SHINY, DULL = Given("look", "there"), Given("look", "gone")


def bench(
    look: float | None = None,
    idler: float = LIKELY_IDLER,
    remedies: dict[str, tuple[float, float]] | None = None,
    look_at: str = "outside",
    mend_at: str = "outside",
    test: float = 1.0,
) -> Book:
    """An idler that seldom stops the hub, which alone is tested.

    Args:
        look: minutes of the look at its tyre, which decides; without it there is no such look.
        idler: its prior.
        remedies: minutes and chance to cure of what mends it; by default a new tyre, `fit`.
        look_at: layer of the look, `outside` or `lid`.
        mend_at: layer of the remedies.
        test: minutes of the final test.
    """
    works = remedies or {"fit": FIT}
    plain = book_of(
        shows={"idler": {"dead": 0.3, "shiny": 0.95}},
        priors={"idler": idler},
        leaks={"dead": 0.01, "shiny": 0.01},
        remedies={name: (cures, ["idler"]) for name, (_, cures) in works.items()},
        layers={"lid": {}},
    )
    half = Minutes(LID / 2)
    lid = replace(plain.layers["lid"], open_minutes=half, close_minutes=half)
    mends = {
        name: replace(plain.remedies[name], minutes=Minutes(minutes), at=LayerId(mend_at))
        for name, (minutes, _) in works.items()
    }
    checks = {"hub": replace(check_of("hub", "dead"), minutes=Minutes(test))}
    if look is not None:
        seen = replace(check_of("look", "shiny"), minutes=Minutes(look), at=LayerId(look_at))
        checks["look"] = seen
    return replace(
        plain,
        layers={**plain.layers, "lid": lid},
        checks=checks,
        remedies=mends,
        final_test=("hub",),
    )


def due(at: Situation) -> list[str]:
    """The remedies to be done without another look."""
    return [step.id for step in remedy_steps(at) if step.is_worth_it]


@pytest.mark.parametrize("look", [0.5, 3.0, 5.9])
def test_remedy_waits_for_a_cheaper_look_that_decides(look: float) -> None:
    """While looking costs less than mending in vain, the look comes first."""
    at = situation(bench(look))
    assert due(at) == []
    steps = ids(next_steps(at))
    assert steps.index("look") < steps.index("fit")


@pytest.mark.parametrize("look", [6.1, 30.0])
def test_likely_cause_is_mended_without_looking_where_looking_costs_more(look: float) -> None:
    """Beyond the minutes of mending in vain, who looks first loses time."""
    at = situation(bench(look))
    assert due(at) == ["fit"]
    steps = ids(next_steps(at))
    assert steps.index("fit") < steps.index("look")


def test_likely_cause_is_mended_once_no_look_is_left() -> None:
    """A look that the book lacks, that was taken or that was put aside holds nothing up."""
    assert due(situation(bench(None))) == ["fit"]
    assert due(situation(bench(3.0), SHINY)) == ["fit"]
    assert due(situation(bench(3.0), aside=frozenset({"look"}))) == ["fit"]


def test_look_that_clears_the_cause_takes_its_remedy_off() -> None:
    """Nobody mends what was seen to be sound."""
    assert due(situation(bench(3.0), DULL)) == []


def test_opening_counts_in_the_minutes_of_the_look() -> None:
    """Two minutes under a closed lid are twelve, more than mending in vain; under an open one not.

    Where the remedy lies under the same lid, mending in vain pays for the lid as well.
    """
    under_lid = bench(2.0, look_at="lid")
    assert due(situation(under_lid)) == ["fit"]
    assert due(situation(under_lid, open_layers=("lid",))) == []
    both = bench(6.5, look_at="outside", mend_at="lid")
    assert due(situation(both)) == []
    assert due(situation(both, open_layers=("lid",))) == ["fit"]


@pytest.mark.parametrize(
    ("idler", "open_layers", "is_due"),
    [
        (0.49, (), False),
        (0.51, (), True),
        (0.49, ("lid",), True),
        (0.36, ("lid",), True),
        (0.34, ("lid",), False),
    ],
)
def test_open_layer_lowers_what_counts_as_likely(
    idler: float, open_layers: tuple[str, ...], is_due: bool
) -> None:
    """A cause is mended from evens, and from one in three where the lid is off already."""
    at = situation(bench(idler=idler, mend_at="lid"), open_layers=open_layers)
    assert due(at) == (["fit"] if is_due else [])


def test_cheap_work_is_done_as_insurance() -> None:
    """What the final test would miss is mended unlikely as it is, if that costs a minute only.

    Missed (0.7 of the time), an idler costs another test of an hour; with one in ten and a cure
    nine times in ten that is some four minutes.
    """
    cheap, dear = {"fit": (1.0, 0.9)}, {"fit": (10.0, 0.9)}
    assert due(situation(bench(idler=0.1, remedies=cheap, test=60.0))) == ["fit"]
    assert due(situation(bench(idler=0.1, remedies=dear, test=60.0))) == []
    assert due(situation(bench(idler=0.1, remedies=cheap, test=1.0))) == []


@pytest.mark.parametrize(
    ("clean", "first"),
    [
        ((5.0, 0.6), "clean"),  # (5 + 2) / 0.6 = 12 against (20 + 2) / 0.95 = 23 minutes
        ((15.0, 0.6), "fit"),  # (15 + 2) / 0.6 = 28
        ((5.0, 0.2), "fit"),  # (5 + 2) / 0.2 = 35
        ((20.0, 0.96), "clean"),  # as long, and surer
    ],
)
def test_of_two_remedies_that_with_fewest_expected_minutes_is_due(
    clean: tuple[float, float], first: str
) -> None:
    """Minutes over the chance to cure decide, those of seeing the result counted."""
    book = bench(remedies={"clean": clean, "fit": FIT})
    assert due(situation(book)) == [first]
    assert ids(next_steps(situation(book, STANDS))).index(first) == 0


def test_other_remedy_is_due_once_the_first_was_given_up() -> None:
    """No tyre to be had: then the old one is cleaned, dear as that is."""
    book = bench(remedies={"clean": (15.0, 0.6), "fit": FIT})
    assert due(situation(book, given_up=frozenset({"fit"}))) == ["clean"]


def test_failed_remedy_is_offered_again_only_after_a_look() -> None:
    """Until something was seen nobody knows that it failed; given up, it never comes back."""
    book = bench(remedies={"clean": (5.0, 0.6)})
    mended = Mended("clean")
    assert "clean" in situation(book, STANDS).remedies
    assert "clean" not in situation(book, STANDS, mended).remedies
    assert "clean" not in ids(next_steps(situation(book, STANDS, mended)))
    assert "clean" in ids(next_steps(situation(book, STANDS, mended, STANDS)))
    assert "clean" not in situation(book, STANDS, mended, STANDS, mended).remedies
    assert "clean" not in situation(book, STANDS, given_up=frozenset({"clean"})).remedies
