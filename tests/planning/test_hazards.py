"""A deck that is not to be powered is not powered, until an answer says that it may be."""

from __future__ import annotations

import pytest

from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.history import Given, History, Mended, Step
from diag.model.trait import Deck
from diag.planning.hazards import against_choosing
from diag.planning.next_step import NextStep
from diag.planning.policy import first_step, next_steps
from diag.planning.situation import Situation
from diag.reading.book import read_book
from diag.reading.location import shipped

BOOK = read_book(shipped(), "cassette")
DECK = Deck(age_years=35.0, traits={"supply": "mains", "earthed": "yes"})


def at(*steps: Step) -> Situation:
    """A mains deck that runs slow, after these steps."""
    history = History(("runs_slow",), steps)
    net = network(BOOK, DECK, history)
    return Situation(BOOK, DECK, history, net, solve(net))


def said(sign: str, is_there: bool, event: int = 1) -> Given:
    """The cheapest answer with the plug pulled, or else with power, that says so of a sign."""
    found = [
        (check.live, len([s for s in evidence.values() if s]), check.id, answer)
        for check in BOOK.checks.values()
        for answer, evidence in check.evidence.items()
        if evidence.get(sign) is is_there
    ]
    *_, check, answer = min(found)
    return Given(check, answer, "certain", event)


def powers(book: Book, step: NextStep, hazard: str) -> bool:
    """Whether a step powers the deck; a check that tells of the hazard itself may."""
    if step.kind == "remedy":
        return book.remedies[step.id].live
    check = book.checks[step.id]
    return check.live and hazard not in check.signs


@pytest.mark.parametrize("hazard", BOOK.hazards)
def test_nothing_is_powered_while_a_hazard_is_there(hazard: str) -> None:
    """Neither intake, walk, planner nor final test does; the first step says why."""
    steps = next_steps(at(said(hazard, True)))
    assert steps
    assert not [step.id for step in steps if powers(BOOK, step, hazard)]
    assert f"Nothing is powered while {BOOK.signs[hazard].says}." in steps[0].why


@pytest.mark.parametrize("hazard", BOOK.hazards)
def test_what_is_behind_a_hazard_comes_first(hazard: str) -> None:
    """The planner's first steps find or mend a cause of it, and pay."""
    steps = [step for step in next_steps(at(said(hazard, True))) if step.by == "planner"]
    behind = [cause.id for cause in BOOK.causes.values() if hazard in cause.shows]
    looks = {check for cause in behind for check, _ in BOOK.deciding[cause]}
    mends = {remedy for cause in behind for remedy in BOOK.causes[cause].mended_by}
    assert steps[0].id in (looks | mends)
    assert steps[0].is_worth_it


@pytest.mark.parametrize("hazard", BOOK.hazards)
def test_a_repair_is_looked_at_before_power(hazard: str) -> None:
    """The first step after it can say that the hazard has gone; then power is let in again."""
    cause = next(c for c in BOOK.causes.values() if hazard in c.shows and c.mended_by)
    mended = (said(hazard, True), Mended(cause.mended_by[0]))
    look = first_step(at(*mended))
    assert look is not None
    assert look.by == "safety"
    assert BOOK.signs[hazard].says in look.why
    answers = BOOK.checks[look.id].evidence
    (gone,) = (a for a, evidence in answers.items() if not any(evidence.values()))
    after = at(*mended, Given(look.id, gone, "certain", 3))
    assert hazard not in after.hazards
    if not after.hazards:
        assert any(powers(BOOK, step, hazard) for step in next_steps(after))


def test_what_powers_it_can_be_chosen_but_is_advised_against() -> None:
    """A person may choose any step; that it powers the deck is told, of others nothing."""
    dark = at(said("lead_unsafe", True))
    told = against_choosing(dark, "check", "first_power")
    assert told == f"Not now: it powers the deck while {BOOK.signs['lead_unsafe'].says}."
    assert against_choosing(dark, "check", "smell_at_vents") == ""
    assert against_choosing(at(), "check", "first_power") == ""
    live = next(remedy.id for remedy in BOOK.remedies.values() if remedy.live)
    assert against_choosing(dark, "remedy", live) == told
    assert against_choosing(dark, "remedy", "replace_mains_lead") == ""


def test_a_hazard_that_stays_goes_on_barring() -> None:
    """A look that finds it again leaves the deck dark, and asks for no third look at once."""
    first = said("lead_unsafe", True)
    still = at(first, Mended("refit_cord_grip"), Given(first.check, first.answer, "certain", 3))
    steps = next_steps(still)
    assert steps[0].by != "safety"
    assert not any(powers(BOOK, step, "lead_unsafe") for step in steps)


def test_a_complaint_of_smoke_still_lets_the_limited_power_up_be_asked() -> None:
    """What tells of a hazard itself is never barred by it."""
    dark = at(said("smokes", True), Mended("replace_line_capacitor"))
    look = first_step(dark)
    assert look is not None
    assert (look.id, BOOK.checks[look.id].live, look.by) == ("first_power", True, "safety")
