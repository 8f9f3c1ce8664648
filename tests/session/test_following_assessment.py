"""An assessment that follows upon the last one is what it would be without that."""

from __future__ import annotations

import pytest
from oracles import answer, book_of

from diag.model.history import History, Mended, Step
from diag.model.trait import Deck
from diag.rules.rulebook import Rulebook
from diag.session.assessment import Standing, assess

BOOK = book_of(
    shows={"glazed": {"dead": 0.7, "spills": 0.4}, "open_coil": {"dead": 0.5, "silent": 0.9}},
    priors={"glazed": 0.3, "open_coil": 0.05},
    leaks={"dead": 0.01, "spills": 0.02, "silent": 0.01},
    remedies={"retyre": (0.9, ["glazed"])},
)
RULES = Rulebook(BOOK)
STEPS: tuple[Step, ...] = (
    answer("dead", True, event=1),
    answer("spills", False, event=2),
    Mended("retyre", 3),
    answer("dead", False, event=4),
)


@pytest.mark.parametrize("count", range(1, len(STEPS) + 1))
def test_last_assessment_changes_nothing(count: int) -> None:
    """Each cause has the same probability now and before, with the last assessment and without."""
    deck = Deck(age_years=40.0)
    last = assess(BOOK, RULES, deck, History((), STEPS[: count - 1]), Standing())
    history = History((), STEPS[:count])
    found = assess(BOOK, RULES, deck, history, Standing(), last)
    assert found.ranking == assess(BOOK, RULES, deck, history, Standing()).ranking
    if count == 1:
        by_cause = {cause.id: cause for cause in found.ranking}
        assert by_cause["glazed"].before == pytest.approx(0.3)
        assert by_cause["glazed"].change > 0.1


def test_assessment_of_another_history_is_not_taken_for_the_last() -> None:
    """An answer struck or changed since leaves no trace in what the causes were before."""
    deck = Deck(age_years=40.0)
    other = assess(BOOK, RULES, deck, History((), (answer("silent", True, event=1),)), Standing())
    history = History((), STEPS[:2])
    found = assess(BOOK, RULES, deck, history, Standing(), other)
    assert found.ranking == assess(BOOK, RULES, deck, history, Standing()).ranking
