"""An assessment that follows upon the last one is what it would be without that."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from oracles import answer, book_of

from diag.inference.network import Network
from diag.inference.posterior import Posterior, solve
from diag.model.figures import Prior
from diag.model.history import History, Mended, Step
from diag.model.trait import Deck
from diag.rules.rulebook import Rulebook
from diag.session import assessment
from diag.session.assessment import Standing, assess

BOOK = book_of(
    shows={"glazed": {"dead": 0.7, "spills": 0.4}, "open_coil": {"dead": 0.5, "silent": 0.9}},
    priors={"glazed": 0.3, "open_coil": 0.05},
    leaks={"dead": 0.01, "spills": 0.02, "silent": 0.01},
    remedies={"retyre": (0.9, ["glazed"])},
)
AGEING = replace(BOOK.causes["glazed"], prior=Prior(((20.0, 0.1), (45.0, 0.4))))
BOOK = replace(BOOK, causes={**BOOK.causes, "glazed": AGEING})
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
        assert by_cause["glazed"].before == pytest.approx(AGEING.prior.at(40.0))
        assert by_cause["glazed"].change > 0.1


def drawn_history(draw: Random) -> History:
    """Up to six answers and repairs; few kinds, so that two histories often begin alike."""
    steps: list[Step] = []
    for event in range(1, draw.randint(1, 6) + 1):
        if draw.random() < 0.3:
            steps.append(Mended("retyre", event))
        else:
            sign, is_there = draw.choice(["dead", "spills"]), draw.random() < 0.5
            steps.append(answer(sign, is_there, "fairly", event))
    return History((), tuple(steps))


def test_assessment_of_another_history_leaves_no_trace() -> None:
    """An answer struck or changed, a step more or less, another age: the ranking is the same."""
    draw = Random(7)
    decks = [Deck(age_years=40.0), Deck(age_years=25.0)]
    seen = [(deck, h) for deck in decks for h in (drawn_history(draw) for _ in range(30))]
    alone = {}
    for deck, history in seen:
        alone[deck.age_years, history] = assess(BOOK, RULES, deck, history, Standing())
    for _ in range(400):
        (deck, history), (other, before) = draw.choice(seen), draw.choice(seen)
        last = alone[other.age_years, before]
        found = assess(BOOK, RULES, deck, history, Standing(), last)
        assert found.ranking == alone[deck.age_years, history].ranking


def test_a_repair_after_an_answer_is_not_worked_out_twice(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the causes were before the last answer is taken from the assessment before."""
    deck = Deck(age_years=40.0)
    last = assess(BOOK, RULES, deck, History((), STEPS[:2]), Standing())
    solved: list[object] = []

    def counted(network: Network) -> Posterior:
        solved.append(network)
        return solve(network)

    monkeypatch.setattr(assessment, "solve", counted)
    assess(BOOK, RULES, deck, History((), STEPS[:3]), Standing(), last)
    assert len(solved) == 1
