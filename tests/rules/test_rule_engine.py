"""How the rule engine behaves as a guest in our process."""

import threading
from concurrent.futures import ThreadPoolExecutor
from mmap import PAGESIZE
from pathlib import Path

import pytest

from diag.errors import RuleError
from diag.model.history import Given, History
from diag.model.rule import Condition
from diag.model.trait import Deck
from diag.rules.engine import Engine, Firing
from diag.rules.rulebook import Rulebook
from tests.rules.books import book, every, rule

PAIR = [{"a": 1}, {"b": 1}]


def test_evaluation_without_any_firing_ends_well() -> None:
    """Messages that no clause takes, or none at all, leave the process alive and nothing fired."""
    engine = Engine([PAIR])
    for messages in ([], [{"c": 1}], [{"a": 1}], [{"c": 1}, {"a": 1}]):
        with engine.evaluation() as tell:
            assert tell(messages) == []


def test_messages_told_later_join_those_before() -> None:
    """A clause fires once its last message is told, with the numbers of all of them."""
    with Engine([PAIR]).evaluation() as tell:
        assert tell([{"c": 1}, {"b": 1}]) == []
        assert tell([{"a": 1}]) == [Firing(0, (2, 1))]
        assert tell([{"c": 1}]) == []


def test_firings_come_in_the_order_of_clauses() -> None:
    """Firings are told by clause and message, whatever order the library finds them in."""
    with Engine([[{"a": 1}], PAIR, [{"b": 1}]]).evaluation() as tell:
        fired = tell([{"b": 1}, {"a": 1}, {"a": 1}])
    assert fired == [
        Firing(0, (1,)),
        Firing(0, (2,)),
        Firing(1, (1, 0)),
        Firing(1, (2, 0)),
        Firing(2, (0,)),
    ]


def test_evaluations_know_nothing_of_each_other() -> None:
    """What one evaluation was told is gone in the next, even when its user failed."""
    engine = Engine([PAIR])

    def fail() -> None:
        with engine.evaluation() as tell:
            tell([{"a": 1}])
            raise ZeroDivisionError

    for _ in range(3):
        with pytest.raises(ZeroDivisionError):
            fail()
        with engine.evaluation() as tell:
            assert tell([{"b": 1}]) == []
        with engine.evaluation() as tell:
            assert tell([{"a": 1}, {"b": 1}]) == [Firing(0, (0, 1))]


@pytest.mark.parametrize("value", [1e-7, float("nan"), '"', "☃", "a b", None], ids=repr)
def test_value_that_the_library_dies_of_is_refused(
    value: object, capfd: pytest.CaptureFixture[str]
) -> None:
    """Anything but whole numbers and plain tokens is a `RuleError`, and the engine lives on."""
    engine = Engine([PAIR])
    with engine.evaluation() as tell:
        with pytest.raises(RuleError, match="can't take"):
            tell([{"a": 1}, {"b": value}])  # type: ignore[dict-item]
        assert tell([{"a": 1}, {"b": 1}]) == [Firing(0, (0, 1))]
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize("clause", [[{"a": 1e-7}], [{"$wrong": {"a": 1}}]], ids=str)
def test_clause_that_the_library_refuses_is_a_rule_error(clause: list[dict[str, object]]) -> None:
    """A clause that the library can't build is told as a `RuleError`."""
    with pytest.raises(RuleError, match="rule engine stopped"):
        Engine([clause])


def test_no_thread_is_started() -> None:
    """Neither building a rulebook nor concluding leaves a thread behind."""
    before = set(threading.enumerate())
    Rulebook(book()).conclude(Deck(age_years=40), History())
    assert set(threading.enumerate()) == before


def test_threads_may_share_a_rulebook() -> None:
    """Conclusions asked from several threads at once are those of their own decks."""
    rules = Rulebook(book(rule("old", Condition(fact="age", above=50), cite="old")))

    def is_old(age: int) -> bool:
        return "old" in rules.conclude(Deck(age_years=age), History()).thumbs

    ages = list(range(100)) * 2
    with ThreadPoolExecutor(4) as threads:
        assert list(threads.map(is_old, ages)) == [age > 50 for age in ages]


def resident_pages() -> int:
    """Memory pages that this process holds."""
    return int(Path("/proc/self/statm").read_text().split()[1])


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="needs Linux's /proc")
@pytest.mark.parametrize(
    "evaluations", [4000, pytest.param(10_000, marks=pytest.mark.proof)], ids=str
)
def test_memory_does_not_grow(evaluations: int) -> None:
    """Thousands of evaluations with joins, chains and conflicts keep less than 1 MiB in all."""
    when = every(Condition(fact="strap_hz", differs_from="local_hz"), Condition(sign="s0"))
    chained = rule("next", Condition(fact="d"), cite="t")
    rules = Rulebook(book(rule("first", when, derive="d"), chained))
    deck = Deck(age_years=40, facts={"strap_hz": 50.0, "local_hz": 60.0})
    history = History(steps=(Given("c0", "both"), Given("c2", "no")))
    for _ in range(500):
        rules.conclude(deck, history)
    before = resident_pages()
    for _ in range(evaluations):
        rules.conclude(deck, history)
    assert (resident_pages() - before) * PAGESIZE < 2**20
