"""What a rulebook concludes from a case."""

import pytest
from hypothesis import HealthCheck, given, settings

from diag.errors import RuleError
from diag.model.book import Book
from diag.model.history import Given, History, Mended
from diag.model.rule import Condition
from diag.model.trait import Deck
from diag.rules.conclusions import CONTRADICTION, Because, Conclusions
from diag.rules.facts import CaseFact
from diag.rules.rulebook import Rulebook, conclude
from tests.rules.books import book, cause, either, every, rule
from tests.rules.drawn import books, decks, histories, layers

STRAPS_DIFFER = Condition(fact="strap_hz", differs_from="local_hz")
STRAPS = book(
    rule(
        "strap_mismatch",
        every(Condition(trait="mains_motor", equals="yes"), STRAPS_DIFFER),
        derive="strap_wrong",
        cite="sync_speed_follows_mains",
    ),
    rule(
        "strap_idle",
        every(Condition(trait="mains_motor", equals="no"), STRAPS_DIFFER),
        cite="strap_has_no_effect",
    ),
    causes=(cause("speed_off_by_strap", strap_wrong=20.0, mains_motor=1.5), cause("worn")),
)
NOTHING = Conclusions()


def on_deck(of: Book, **facts: str | float) -> Conclusions:
    """What a book concludes from these traits and facts of a deck alone."""
    traits = {name: str(value) for name, value in facts.items() if name in of.traits}
    rest = {name: value for name, value in facts.items() if name not in of.traits}
    return conclude(of, Deck(traits=traits, facts=rest), History())


def test_strap_mismatch_with_mains_motor_is_wrong() -> None:
    """A strap for another mains frequency is wrong on a deck with a mains motor, with reasons."""
    got = on_deck(STRAPS, mains_motor="yes", strap_hz=60.0, local_hz=50.0)
    because = Because(
        "strap_mismatch",
        (
            CaseFact("trait", "mains_motor", "yes", "deck"),
            CaseFact("fact", "strap_hz", 60.0, "deck"),
            CaseFact("fact", "local_hz", 50.0, "deck"),
        ),
    )
    assert got.derived == {"strap_wrong": because}
    assert got.thumbs == {"sync_speed_follows_mains": because}
    assert got.raised == {"speed_off_by_strap": 30.0}
    derived = CaseFact("fact", "strap_wrong", "yes", "strap_mismatch")
    assert got.raised_why == {"speed_off_by_strap": (derived, because.facts[0])}


def test_strap_mismatch_without_mains_motor_has_no_effect() -> None:
    """Without a mains motor the same strap derives nothing; a thumb says that it is harmless."""
    got = on_deck(STRAPS, mains_motor="no", strap_hz=60.0, local_hz=50.0)
    assert not got.derived
    assert not got.raised
    assert list(got.thumbs) == ["strap_has_no_effect"]


@pytest.mark.parametrize(
    "known",
    [
        {"strap_hz": 60.0, "local_hz": 50.0},
        {"mains_motor": "no", "strap_hz": 60.0},
        {"mains_motor": "no", "local_hz": 50.0},
        {"mains_motor": "no", "strap_hz": 50.0, "local_hz": 50.0},
        {},
    ],
    ids=["motor unknown", "mains unknown", "strap unknown", "strap right", "nothing known"],
)
def test_strap_unknown_or_right_concludes_nothing(known: dict[str, str | float]) -> None:
    """What is not known fires no rule, and neither does a strap that fits."""
    assert on_deck(STRAPS, **known) == NOTHING


def test_derived_facts_chain() -> None:
    """A rule may test what another derives, whichever stands first in the book."""
    late = rule("second", Condition(fact="damp"), caution="mould")
    early = rule("first", Condition(fact="stored_damp", equals="yes"), derive="damp")
    got = on_deck(book(late, early), stored_damp="yes")
    assert got.cautions == {"mould": Because("second", (CaseFact("fact", "damp", "yes", "first"),))}


def test_reason_never_rests_on_itself() -> None:
    """Of rules that derive facts from each other, the reason given is the one from outside."""
    got = on_deck(
        book(
            rule("a_from_b", Condition(fact="b"), derive="a"),
            rule("b_from_a", Condition(fact="a"), derive="b"),
            rule("b_from_damp", Condition(fact="stored_damp", equals="yes"), derive="b"),
        ),
        stored_damp="yes",
    )
    assert {name: because.rule for name, because in got.derived.items()} == {
        "b": "b_from_damp",
        "a": "a_from_b",
    }


def test_told_fact_is_not_derived_over() -> None:
    """What the owner says of the deck stands, even when a rule would derive otherwise."""
    of = book(
        rule("old", Condition(fact="age", above=30), derive="stored_damp"),
        causes=(cause("rust", stored_damp=3.0),),
    )
    old = Deck(age_years=45, facts={"stored_damp": "no"})
    assert conclude(of, old, History()) == NOTHING
    assert conclude(of, Deck(age_years=45), History()).raised == {"rust": 3.0}


@pytest.mark.parametrize(("age", "fires"), [(20, False), (20.5, True), (39.9, True), (40, False)])
def test_band_is_open_at_both_ends(age: float, fires: bool) -> None:
    """Above and below in one condition, or in two on one fact, hold strictly between them."""
    one = rule("one", Condition(fact="age", above=20, below=40), cite="one")
    two = rule(
        "two", every(Condition(fact="age", above=20), Condition(fact="age", below=40)), cite="two"
    )
    got = conclude(book(one, two), Deck(age_years=age), History())
    assert set(got.thumbs) == ({"one", "two"} if fires else set())


@pytest.mark.parametrize("figure", [1e-7, -2.5e-9, 3e22, 5e-324, 0.1 + 0.2])
def test_comparison_is_exact_for_any_figure(figure: float) -> None:
    """A number equal to a figure, however small or large, is neither above nor below it."""
    of = book(
        rule("above", Condition(fact="strap_hz", above=figure), cite="above"),
        rule("below", Condition(fact="strap_hz", below=figure), cite="below"),
        rule("same", Condition(fact="strap_hz", equals=figure), cite="same"),
    )
    assert set(on_deck(of, strap_hz=figure).thumbs) == {"same"}


def test_minus_zero_is_zero() -> None:
    """Zero equals zero, whatever its sign."""
    of = book(rule("zero", Condition(fact="strap_hz", equals=0.0), cite="zero"))
    assert set(on_deck(of, strap_hz=-0.0).thumbs) == {"zero"}


def test_word_is_never_a_number() -> None:
    """A word with the look of a number differs from the number and is neither above nor below."""
    of = book(
        rule("same", Condition(fact="free", same_as="strap_hz"), cite="same"),
        rule("differs", Condition(fact="free", differs_from="strap_hz"), cite="differs"),
        rule("above", Condition(fact="free", above=1), cite="above"),
    )
    assert set(on_deck(of, free="50.0", strap_hz=50.0).thumbs) == {"differs"}
    assert set(on_deck(of, free=50.0, strap_hz=50.0).thumbs) == {"same", "above"}


def test_symptom_layer_check_and_sign_are_facts() -> None:
    """Complaints, open layers, answers and the signs that they speak of can all be tested."""
    wanted = every(
        Condition(symptom="no_sound", equals="told"),
        Condition(layer="lid", equals="open"),
        either(Condition(check="c1", equals="one"), Condition(check="c0")),
        Condition(sign="s2", equals="absent"),
    )
    of = book(rule("all_four", wanted, caution="lamp_hot"))
    history = History(("no_sound",), (Given("c1", "none"), Given("c0", "both")))
    got = conclude(of, Deck(), history, ("lid",))
    assert [fact.kind for fact in got.cautions["lamp_hot"].facts] == [
        "symptom",
        "layer",
        "check",
        "sign",
    ]
    assert not conclude(of, Deck(), history).cautions


def test_conflict_is_told_once_with_its_reason() -> None:
    """A rule that holds in two ways tells its conflict once, in the words of the book."""
    both = either(Condition(fact="strap_hz"), Condition(fact="local_hz"))
    got = on_deck(book(rule("odd", both, conflict="These clash")), strap_hz=50.0, local_hz=50.0)
    fact = CaseFact("fact", "strap_hz", 50.0, "deck")
    assert got.conflicts == (("These clash", Because("odd", (fact,))),)


def test_contradiction_names_both_answers() -> None:
    """Two certain answers that disagree on a sign are a conflict that names both."""
    history = History(steps=(Given("c0", "both"), Given("c2", "no")))
    (conflict,) = conclude(book(), Deck(), history).conflicts
    assert conflict.because.rule == CONTRADICTION
    assert [(f.value, f.told_by) for f in conflict.because.facts] == [
        ("present", "c0"),
        ("absent", "c2"),
    ]
    for words in ("Sign s0", "Ask c0?", "Says both", "Ask c2?", "Says no"):
        assert words in conflict.text


@pytest.mark.parametrize(
    "steps",
    [
        (Given("c0", "both"), Given("c2", "no", "fairly")),
        (Given("c0", "both"), Mended("m0"), Given("c2", "no")),
        (Given("c0", "both"), Given("c2", "no"), Given("c2", "yes")),
    ],
    ids=["one only fairly sure", "mended between", "asked again"],
)
def test_no_contradiction(steps: tuple[Given | Mended, ...]) -> None:
    """Doubtful answers, a repair between, or a newer answer of the same check: no conflict."""
    assert conclude(book(), Deck(), History(steps=steps)).conflicts == ()


HOSTILE = ['"}', '"},{"$and":[', "m0", "$s", "\x00\n\\u0022", "a" * 5000, "☃", "\ud800", "", "{0}"]


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_text_is_only_data(text: str, capfd: pytest.CaptureFixture[str]) -> None:
    """Ids and values of any characters are compared as they stand, and change no other rule."""
    of = book(
        rule(text, every(Condition(fact=text, equals=text), STRAPS_DIFFER), derive=f"{text}+"),
        rule("chained", Condition(fact=f"{text}+"), conflict=text),
        rule("other", Condition(fact="strap_hz", equals="never"), cite="never"),
    )
    got = conclude(of, Deck(facts={text: text, "strap_hz": 1.0, "local_hz": 2.0}), History())
    assert list(got.derived) == [f"{text}+"]
    assert [each.text for each in got.conflicts] == [text]
    assert not got.thumbs
    assert on_deck(of, strap_hz=1.0, local_hz=2.0) == NOTHING
    assert capfd.readouterr() == ("", "")


def test_too_many_alternatives_are_refused() -> None:
    """A rule with thousands of ways to hold is refused with its name, before it slows anything."""
    pair = either(Condition(fact="a"), Condition(fact="b"))
    with pytest.raises(RuleError, match=r"'wide' has 4096 ways") as caught:
        Rulebook(book(rule("wide", every(*[pair] * 12), cite="t")))
    assert caught.value.do


def test_figure_that_is_not_finite_is_refused() -> None:
    """A comparison with infinity or not-a-number is refused with the rule's name."""
    with pytest.raises(RuleError, match="'odd' compares"):
        Rulebook(book(rule("odd", Condition(fact="a", above=float("nan")), cite="t")))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(books(), decks, histories, layers)
def test_conclusions_depend_on_the_facts_alone(
    of: Book, deck: Deck, history: History, open_layers: tuple[str, ...]
) -> None:
    """Asked again, or told the deck in another order, a rulebook concludes the very same."""
    rulebook = Rulebook(of)
    first = rulebook.conclude(deck, history, open_layers)
    rulebook.conclude(Deck(), History())
    turned = Deck(
        age_years=deck.age_years,
        traits=dict(reversed(deck.traits.items())),
        facts=dict(reversed(deck.facts.items())),
    )
    assert rulebook.conclude(turned, history, tuple(reversed(open_layers))) == first
