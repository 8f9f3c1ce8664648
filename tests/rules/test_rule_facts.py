"""What is known of a case, as facts."""

import pytest
from hypothesis import given

from diag.errors import RuleError, UnknownId
from diag.model.history import Given, History, Mended, Step
from diag.model.trait import Deck
from diag.rules.conclusions import CONTRADICTION
from diag.rules.facts import CaseFact, facts_of, tellings_of
from diag.rules.rulebook import Rulebook
from tests.rules.books import book
from tests.rules.drawn import histories

BOOK = book()
RULEBOOK = Rulebook(BOOK)


def sign(name: str, *steps: Step) -> CaseFact | None:
    """What is known of a sign after these steps."""
    facts = facts_of(BOOK, Deck(), History(steps=steps))
    return next((fact for fact in facts if (fact.kind, fact.id) == ("sign", name)), None)


def test_deck_is_told_with_its_age() -> None:
    """Traits, facts and the age of the deck are facts; numbers are floats."""
    deck = Deck(age_years=45, traits={"drive": "belt"}, facts={"strap_hz": 60})
    assert facts_of(BOOK, deck, History()) == (
        CaseFact("fact", "age", 45.0, "deck"),
        CaseFact("fact", "strap_hz", 60.0, "deck"),
        CaseFact("trait", "drive", "belt", "deck"),
    )


def test_complaint_tells_no_sign() -> None:
    """A symptom is told, and none of its signs is taken for seen."""
    facts = facts_of(BOOK, Deck(), History(symptoms=("no_sound",)))
    assert facts == (CaseFact("symptom", "no_sound", "told", "owner"),)


def test_answer_tells_signs_of_answers_above_absent() -> None:
    """An answer tells the signs of those above it absent, as the check's evidence has it."""
    assert sign("s0", Given("c0", "none")) == CaseFact("sign", "s0", "absent", "c0")
    assert sign("s2", Given("c0", "none")) is None


@pytest.mark.parametrize(
    ("steps", "told_by"),
    [
        ((Given("c0", "none"), Given("c2", "no")), "c2"),
        ((Given("c0", "none"), Given("c2", "no", "fairly")), "c0"),
        ((Given("c0", "none"), Mended("m0"), Given("c2", "no", "fairly")), "c2"),
        ((Given("c0", "none"), Given("c2", "no"), Given("c0", "none")), "c0"),
    ],
    ids=["the latest", "certain before fairly sure", "after a repair", "asked again"],
)
def test_sign_has_one_value(steps: tuple[Step, ...], told_by: str) -> None:
    """Of several answers on a sign, one decides: after the repair, certain, latest, in turn."""
    fact = sign("s0", *steps)
    assert fact is not None
    assert fact.told_by == told_by


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("strap_hz", "sixty"),
        ("strap_hz", float("nan")),
        ("age", float("inf")),
        ("stored_damp", "maybe"),
        ("stored_damp", 1.0),
        ("undeclared", float("nan")),
    ],
)
def test_fact_of_the_wrong_kind_is_refused(name: str, value: str | float) -> None:
    """A value that the book's declaration does not allow is refused, naming the fact."""
    deck = Deck(age_years=value) if name == "age" else Deck(facts={name: value})  # type: ignore[arg-type]
    with pytest.raises(RuleError) as caught:
        facts_of(BOOK, deck, History())
    assert name in caught.value.where
    assert caught.value.do


@pytest.mark.parametrize("given_answer", [Given("gone", "yes"), Given("c0", "gone")])
def test_answer_that_the_book_lost_is_refused(given_answer: Given) -> None:
    """An answer or check that is not in the book is told by its id."""
    with pytest.raises(UnknownId, match="gone"):
        facts_of(BOOK, Deck(), History(steps=(given_answer,)))


@given(histories)
def test_contradictions_are_all_pairs_that_disagree(history: History) -> None:
    """Every pair of certain answers that disagree, with no repair between, and no other."""
    told = [telling for telling in tellings_of(BOOK, history) if telling.certain]
    wanted = {
        (yes.sign, yes.check, no.check)
        for yes in told
        for no in told
        if (yes.sign, yes.repairs) == (no.sign, no.repairs) and yes.present and not no.present
    }
    got = [each.because for each in RULEBOOK.conclude(Deck(), history).conflicts]
    assert all(because.rule == CONTRADICTION for because in got)
    pairs = [(yes.id, yes.told_by, no.told_by) for yes, no in (because.facts for because in got)]
    assert set(pairs) == wanted
    assert len(pairs) == len(wanted)
