"""What repairs, openings and the asking again of signs teach, in plain consequences.

Where a figure can be had in closed form, it stands in the test as its own sum, apart from the
engine: derived by hand from the model, in which what fired stays fired for as long as its cause
lasts, and a leak for good.
"""

from __future__ import annotations

from dataclasses import replace
from math import log

import pytest
from oracles import ANY_DECK, answer, book_of, check_of

from diag.errors import ImpossibleEvidence
from diag.inference.network import network
from diag.inference.posterior import Posterior, solve
from diag.model.book import Book
from diag.model.history import History, Mended, Opened, Step
from diag.planning.next_step import NextStep
from diag.planning.policy import next_steps
from diag.planning.situation import Situation

IDLER, BELT, LEAK = 0.3, 0.2, 0.01
"""Priors of the two causes of a dead hub, and its leak."""
SHOWN_BY_IDLER, SHOWN_BY_BELT = 0.7, 0.5
CURES = 0.9


def bench(cures: float = CURES, upset: float = 0.25) -> Book:
    """A dead hub with two causes: an idler that its remedy mends this surely, and a belt.

    Opening the lid brings the idler's fault about with the chance `upset`.
    """
    return book_of(
        shows={"idler": {"dead": SHOWN_BY_IDLER}, "belt": {"dead": SHOWN_BY_BELT}},
        priors={"idler": IDLER, "belt": BELT},
        leaks={"dead": LEAK, "noisy": 0.1},
        remedies={"mend_idler": (cures, ["idler"]), "mend_belt": (CURES, ["belt"])},
        layers={"lid": {"idler": upset}},
    )


def after(book: Book, *steps: Step, symptoms: tuple[str, ...] = ()) -> Posterior:
    """The posterior once these steps are done."""
    return solve(network(book, ANY_DECK, History(symptoms, steps)))


DEAD, TURNS = answer("dead", True), answer("dead", False)
MENDED = Mended("mend_idler")


def test_vanished_sign_clears_the_untouched_causes_of_having_made_it() -> None:
    """Gone after the idler's remedy, the sign was the idler's alone: the belt had not fired it.

    The belt is then as likely as in a deck that never showed the sign, and the idler, which was
    there and was cured, is gone for certain.
    """
    found = after(bench(), DEAD, MENDED, TURNS).causes
    silent = BELT * (1 - SHOWN_BY_BELT)
    assert found["belt"] == pytest.approx(silent / (silent + 1 - BELT), rel=1e-13)
    assert found["idler"] == 0


def test_vanished_sign_needs_no_luck_of_an_unreliable_remedy() -> None:
    """However seldom the remedy works, a sign that went with it proves that it worked."""
    assert after(bench(cures=0.05), DEAD, MENDED, TURNS).causes["idler"] == 0


def test_sign_that_stays_points_away_from_the_mended_cause() -> None:
    """Still there after a sure remedy, the sign is the belt's or nobody's, idler or no idler."""
    found = after(bench(cures=1.0), DEAD, MENDED, DEAD).causes
    fired = BELT * SHOWN_BY_BELT + (1 - BELT * SHOWN_BY_BELT) * LEAK
    quiet_belt = BELT * (1 - SHOWN_BY_BELT) * LEAK
    assert found["belt"] == pytest.approx((BELT * SHOWN_BY_BELT + quiet_belt) / fired, rel=1e-13)
    assert found["idler"] == 0
    assert found["belt"] > after(bench(), DEAD).causes["belt"]


def test_sign_that_stays_leaves_an_unreliable_remedy_in_doubt() -> None:
    """The less a remedy can be relied on, the more a sign that stays speaks for its cause."""
    found = [after(bench(cures=c), DEAD, MENDED, DEAD).causes for c in (1.0, 0.9, 0.5, 0.05)]
    idler = [causes["idler"] for causes in found]
    belt = [causes["belt"] for causes in found]
    assert idler == sorted(set(idler))
    assert belt == sorted(set(belt), reverse=True)
    assert belt[0] > 0.8
    assert idler[0] == 0
    assert idler[-1] > belt[-1]


def test_remedy_that_can_not_work_changes_nothing() -> None:
    """A remedy that never cures leaves cause and sign alone, so that asking again tells nothing."""
    before = after(bench(cures=0.0), DEAD)
    again = after(bench(cures=0.0), DEAD, MENDED, DEAD)
    assert again.causes == pytest.approx(before.causes, rel=1e-13)
    assert again.log_evidence == pytest.approx(before.log_evidence, rel=1e-13)


def test_second_fault_behind_the_first_comes_up_once_that_is_gone() -> None:
    """A fault explained away by a certain one is first of the list when the sign outlives it."""
    book = book_of(
        shows={
            "idler": {"dead": 1.0, "tyre_shiny": 0.99},
            "belt": {"dead": 0.9},
            "clutch": {"dead": 0.9},
        },
        priors={"idler": 0.1, "belt": 0.15, "clutch": 0.05},
        leaks={"dead": 0.001, "tyre_shiny": 0.001},
        remedies={"mend_idler": (1.0, ["idler"]), "mend_belt": (1.0, ["belt"])},
    )
    steps = (DEAD, answer("tyre_shiny", True))
    hidden = after(book, *steps).causes
    bared = after(book, *steps, MENDED, DEAD).causes
    third = after(book, *steps, MENDED, DEAD, Mended("mend_belt"), DEAD).causes
    assert max(hidden, key=lambda c: hidden[c]) == "idler"
    assert hidden["belt"] == pytest.approx(0.15, abs=0.01)
    assert max(bared, key=lambda c: bared[c]) == "belt"
    assert bared["belt"] > 0.7
    assert max(third, key=lambda c: third[c]) == "clutch"
    assert third["clutch"] > 0.95


def test_mended_cause_comes_back_with_its_sign() -> None:
    """A hub that turned after the remedy and stands still again puts the mended idler back."""
    mended = after(bench(), DEAD, MENDED, TURNS).causes
    back = after(bench(), DEAD, MENDED, TURNS, DEAD).causes
    assert mended["idler"] == 0
    assert back["idler"] > 0.1
    assert back["idler"] == after(bench(), DEAD, MENDED, DEAD).causes["idler"]


def test_mended_cause_comes_back_with_its_sign_after_an_opening() -> None:
    """When the sign is back after the lid was off, the opening has brought the fault about.

    Belt and leak did not fire before, and they do not fire later: nobody touched them.
    """
    steps = (DEAD, MENDED, TURNS, Opened("lid"))
    opened, back = after(bench(), *steps).causes, after(bench(), *steps, DEAD).causes
    assert opened["idler"] == pytest.approx(0.25, rel=1e-13)
    assert back["idler"] == pytest.approx(1.0, abs=1e-15)
    assert back["belt"] == pytest.approx(opened["belt"], rel=1e-13)


def test_fault_brought_about_by_an_opening_made_no_earlier_sign() -> None:
    """What an opening can have brought about does not explain what was seen before it."""
    never = book_of(
        shows={"lever": {"dead": 0.9}, "belt": {"dead": 0.5}},
        priors={"lever": 0.0, "belt": BELT},
        leaks={"dead": LEAK},
        layers={"lid": {"lever": 0.4}},
    )
    seen = after(never, DEAD, Opened("lid")).causes
    assert seen["belt"] == after(never, DEAD).causes["belt"]
    assert seen["lever"] == pytest.approx(0.4, rel=1e-13)
    new = after(never, TURNS, Opened("lid"), DEAD).causes
    assert new["lever"] == pytest.approx(1.0, abs=1e-15)


@pytest.mark.parametrize("sure", ["certain", "fairly"])
@pytest.mark.parametrize("is_present", [True, False], ids=["there", "gone"])
@pytest.mark.parametrize(
    "between",
    [(), (Mended("mend_noise"),), (Opened("back"), Opened("back"))],
    ids=["nothing", "other_remedy", "other_layer"],
)
def test_asking_again_what_nobody_touched_is_no_new_evidence(
    sure: str, is_present: bool, between: tuple[Step, ...]
) -> None:
    """The same answer to the same check tells nothing new unless its sign's causes were touched."""
    book = book_of(
        shows={"idler": {"dead": 0.7}, "bearing": {"noisy": 0.8}},
        priors={"idler": IDLER, "bearing": 0.1},
        leaks={"dead": LEAK, "noisy": 0.1},
        remedies={"mend_noise": (0.5, ["bearing"])},
        layers={"back": {"bearing": 0.1}},
    )
    given = answer("dead", is_present, sure)
    start = (answer("noisy", True, "fairly"), given)
    once, twice = after(book, *start, *between), after(book, *start, *between, given)
    assert twice.causes == once.causes
    assert twice.log_evidence == once.log_evidence


def test_asking_again_after_a_touch_is_new_evidence() -> None:
    """The same answer after its own cause was touched does count: it is of another time."""
    once = after(bench(), DEAD, MENDED)
    twice = after(bench(), DEAD, MENDED, DEAD)
    assert twice.log_evidence < once.log_evidence - 0.1
    assert twice.causes["belt"] > once.causes["belt"] + 0.1


def test_leak_stays_through_every_repair() -> None:
    """A sign that none of the known causes makes is there again each time, as the leak lasts.

    With its one cause cured for sure twice over, the third look is as certain as the second.
    """
    book = book_of(
        {"idler": {"dead": 0.7}}, {"idler": IDLER}, {"dead": LEAK}, {"mend_idler": (1.0, ["idler"])}
    )
    second = after(book, DEAD, MENDED, DEAD)
    third = after(book, DEAD, MENDED, DEAD, MENDED, DEAD)
    assert third.log_evidence == pytest.approx(second.log_evidence, rel=1e-13)


def test_cause_that_lasts_fires_once_for_all_times() -> None:
    """An untouched cause shows after a repair what it showed before, and no more.

    Where only the belt can be there, two looks that agree are as likely as one, and two that
    differ can't be: a remedy of the idler makes no difference to the belt.
    """
    book = book_of(
        shows={"idler": {"dead": SHOWN_BY_IDLER}, "belt": {"dead": SHOWN_BY_BELT}},
        priors={"idler": 0.0, "belt": BELT},
        leaks={"dead": 0.0},
        remedies={"mend_idler": (CURES, ["idler"])},
    )
    once, twice = after(book, DEAD), after(book, DEAD, MENDED, DEAD)
    assert once.log_evidence == pytest.approx(log(BELT * SHOWN_BY_BELT), rel=1e-13)
    assert twice.log_evidence == pytest.approx(once.log_evidence, rel=1e-13)
    with pytest.raises(ImpossibleEvidence):
        after(book, DEAD, MENDED, TURNS)


def test_one_remedy_for_two_causes_acts_on_each() -> None:
    """A remedy of several causes cures each by its own chance, and one touch is one remedy."""
    book = book_of(
        shows={"idler": {"dead": 0.7}, "belt": {"noisy": 0.5}},
        priors={"idler": IDLER, "belt": BELT},
        leaks={"dead": LEAK, "noisy": LEAK},
        remedies={"renew_all": (0.8, ["idler", "belt"])},
    )
    found = after(book, Mended("renew_all")).causes
    assert found["idler"] == pytest.approx(IDLER * 0.2, rel=1e-13)
    assert found["belt"] == pytest.approx(BELT * 0.2, rel=1e-13)
    gone = after(book, DEAD, Mended("renew_all"), TURNS).causes
    assert gone["idler"] == 0
    assert gone["belt"] == pytest.approx(BELT * 0.2, rel=1e-13)


def offered(book: Book, *steps: Step) -> tuple[NextStep, ...]:
    """What to do next with the lid off."""
    history = History((), steps)
    net = network(book, ANY_DECK, history)
    return next_steps(Situation(book, ANY_DECK, history, net, solve(net), open_layers=("lid",)))


def levered(upset: float) -> Book:
    """A book with a lever under the lid, which opening the lid moves with this chance."""
    plain = book_of(
        shows={"lever": {"astray": 1.0, "dead": 0.3}},
        priors={"lever": 0.001},
        leaks={"astray": 0.001, "dead": 0.01, "noisy": 0.1},
        layers={"lid": {"lever": upset}},
    )
    look = replace(check_of("look", "astray"), at="lid", minutes=0.5)
    checks = {"look": look, "ask_dead": plain.checks["ask_dead"], "ask_noisy": NOISY}
    return replace(plain, checks=checks, final_test=("ask_dead",))


NOISY = check_of("ask_noisy", "noisy")


def test_cause_made_likelier_by_an_open_layer_is_asked_about_before_it_is_closed() -> None:
    """With the lid off, the lever that its opening may have moved is looked at before the test.

    Where the lid moves nothing, the deck is closed and tested without that look.
    """
    before = (answer("noisy", False), Opened("lid"))
    moved = [step.id for step in offered(levered(upset=0.8), *before)]
    still = [step.id for step in offered(levered(upset=0.0), *before)]
    assert moved.index("look") < moved.index("ask_dead")
    assert still.index("ask_dead") < still.index("look")
