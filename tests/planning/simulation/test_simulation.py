"""Decks drawn from a book, the bench that they are worked on, and how policies do there."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from book_folder import BookFolder

from diag.errors import SimulationError
from diag.model.book import Book
from diag.model.history import Given
from diag.model.trait import Deck
from diag.planning.access import Access
from diag.planning.final_test import is_well
from diag.planning.next_step import NextStep
from diag.planning.simulation.bench import Bench
from diag.planning.simulation.calibration import calibration
from diag.planning.simulation.chance import Chance
from diag.planning.simulation.clairvoyant import clairvoyant_minutes
from diag.planning.simulation.compare import Trial, Tried, compare
from diag.planning.simulation.drawn_deck import DrawnDeck, Kind, draw_deck, shows
from diag.planning.simulation.json_form import json_form
from diag.planning.simulation.page import html
from diag.planning.simulation.run import Run, run
from diag.planning.simulation.score import score
from diag.rules.rulebook import Rulebook

PARTS = """\
signs:
  silent: {says: no sound, leak: 0.02}
  slow: {says: runs slow, leak: 0.02}
  belt_slack: {says: the belt hangs, leak: 0.001}
  shaft_dry: {says: the shaft is dry, leak: 0.001}
  plug_off: {says: the plug is off, leak: 0.001}
causes:
  worn_belt:
    says: Worn belt
    prior: 0.3
    shows: {silent: 0.9, slow: 0.6, belt_slack: 0.95}
    mended_by: [renew]
  dry_shaft:
    says: Dry shaft
    prior: 0.3
    shows: {slow: 0.9, shaft_dry: 0.95}
    mended_by: [oil, overhaul]
  plug_loose:
    {says: Plug loose, prior: 0.01, shows: {silent: 1.0, plug_off: 1.0}, mended_by: [push]}
checks:
  listen:
    {ask: Sound?, at: outside, minutes: 1, answers: {silent: {present: [silent]}, sound: {}}}
  speed: {ask: Speed?, at: outside, minutes: 2, answers: {slow: {present: [slow]}, right: {}}}
  look_belt:
    {ask: Belt?, at: lid, minutes: 2, answers: {hangs: {present: [belt_slack]}, firm: {}}}
  look_shaft:
    {ask: Shaft?, at: transport, minutes: 2, answers: {dry: {present: [shaft_dry]}, wet: {}}}
  look_plug: {ask: Plug?, at: lid, minutes: 1, answers: {off: {present: [plug_off]}, 'on': {}}}
remedies:
  renew: {says: Renew the belt, minutes: 20, at: lid, cures: 0.8}
  oil: {says: Oil the shaft, minutes: 10, at: transport, cures: 0.5}
  overhaul: {says: Overhaul it, minutes: 15, at: transport, cures: 1.0}
  push: {says: Push the plug home, minutes: 1, at: lid, cures: 1.0}
"""

FAMILY = """\
family: tape
says: Machines of this test
layers:
  outside: {}
  lid: {under: outside, open: 4, close: 4}
  transport: {under: lid, open: 10, close: 12, upsets: {plug_loose: 0.3}}
symptoms:
  no_sound: {says: No sound, signs: [silent]}
  slow_deck: {says: Slow, signs: [slow]}
intake: [listen]
final_test: [listen, speed]
"""

POLICIES = ("walk", "textbook", "cost_over_probability", "information", "planner")


@pytest.fixture
def folder(tmp_path: Path) -> BookFolder:
    """The folder of a book with two common faults and one that opening brings about."""
    made = BookFolder(tmp_path)
    made.put("family.yaml", FAMILY)
    made.put("reels/idler.yaml", PARTS)
    return made


@pytest.fixture
def book(folder: BookFolder) -> Book:
    """That book."""
    return folder.read()


def deck_with(*causes: str, strange: frozenset[str] = frozenset(), seed: str = "x") -> DrawnDeck:
    """A deck with these faults."""
    return DrawnDeck(
        deck=Deck(age_years=30.0),
        chance=Chance(seed),
        raised={},
        causes=frozenset(causes),
        strange=strange,
        symptoms=(),
    )


def ask(check: str, by: str = "planner") -> NextStep:
    """The step of a check."""
    return NextStep("check", check, 1.0, Access((), 0.0), 1.0, by)  # type: ignore[arg-type]


def mend(remedy: str) -> NextStep:
    """The step of a remedy."""
    return NextStep("remedy", remedy, 1.0, Access((), 0.0), 1.0, "planner")


def answer_of(bench: Bench) -> str:
    """The last answer that a bench gave."""
    given = bench.situation().history.steps[-1]
    assert isinstance(given, Given)
    return given.answer


def test_draws_come_out_by_their_chance() -> None:
    """Over many names the share of hits is the probability, and a name always draws alike."""
    chance = Chance("seed")
    hits = sum(chance.happens(0.3, "name", n) for n in range(20_000))
    assert hits / 20_000 == pytest.approx(0.3, abs=4 * (0.3 * 0.7 / 20_000) ** 0.5)
    assert chance.number("a", 1) == Chance("seed").number("a", 1) != chance.number("a", 2)


def test_drawn_decks_follow_the_figures_of_the_book(book: Book) -> None:
    """Faults come by their priors and signs by their links; leaks aside, four deviations."""
    decks = 3000
    fired = had = 0
    for number in range(decks):
        drawn = deck_with("worn_belt", seed=f"deck {number}")
        leaked = drawn.chance.happens(0.02, "leaks", "slow")
        had += not leaked
        fired += not leaked and shows(book, drawn, {"worn_belt": 0}, "slow")
    assert fired / had == pytest.approx(0.6, abs=4 * (0.6 * 0.4 / had) ** 0.5)


def test_drawn_deck_has_a_true_complaint(book: Book) -> None:
    """An owner tells only what is there, and the number of faults is as asked for."""
    rulebook = Rulebook(book)
    for number in range(60):
        drawn = draw_deck(book, rulebook, 5, number, Kind(faults=(1, 1), strange=0.0))
        assert len(drawn.causes) == 1
        assert drawn.symptoms
        for symptom in drawn.symptoms:
            assert any(drawn.has(book, sign) for sign in book.symptoms[symptom].signs)


def test_wanted_symptom_is_told_first(book: Book) -> None:
    """With a symptom asked for, every owner tells it."""
    rulebook = Rulebook(book)
    for number in range(20):
        kind = Kind(symptom="slow_deck")
        assert draw_deck(book, rulebook, 5, number, kind).symptoms[0] == "slow_deck"


def test_impossible_deck_is_refused(book: Book) -> None:
    """A number of faults that the book can't give ends in an error that says so."""
    with pytest.raises(SimulationError, match="50 to 60 faults"):
        draw_deck(book, Rulebook(book), 1, 1, Kind(faults=(50, 60)))


def test_bench_answers_the_same_until_something_is_mended(book: Book) -> None:
    """What fired stays; a cure takes its signs away."""
    bench = Bench(book, deck_with("plug_loose"), cant_tell=0.0)
    bench.take(ask("listen"))
    assert answer_of(bench) == "silent"
    bench.take(ask("listen"))
    assert answer_of(bench) == "silent"
    bench.take(mend("push"))
    assert not bench.faults
    bench.take(ask("listen"))
    assert answer_of(bench) == "sound"


def test_minutes_count_each_opening_once_until_the_deck_is_closed(book: Book) -> None:
    """Opening and closing are paid once while open, and again after the final test."""
    bench = Bench(book, deck_with(), cant_tell=0.0)
    bench.take(ask("look_belt"))
    assert bench.minutes == 8 + 2
    bench.take(ask("look_plug"))
    assert bench.minutes == 8 + 2 + 1
    bench.take(ask("listen", by="final test"))
    assert bench.open_layers == ()
    bench.take(ask("look_belt"))
    assert bench.minutes == 8 + 2 + 1 + 1 + 8 + 2


def test_opening_brings_faults_about_by_its_chance(book: Book) -> None:
    """Three openings in ten loosen the plug."""
    decks = 1000
    loose = 0
    for number in range(decks):
        bench = Bench(book, deck_with(seed=f"deck {number}"))
        bench.open_to("transport")
        loose += "plug_loose" in bench.faults
    assert loose / decks == pytest.approx(0.3, abs=4 * (0.3 * 0.7 / decks) ** 0.5)


def test_what_cant_be_told_is_put_aside_but_not_in_the_final_test(book: Book) -> None:
    """A restorer who can tell nothing gets no answer until the final test."""
    bench = Bench(book, deck_with("plug_loose"), cant_tell=1.0)
    bench.take(ask("listen"))
    assert bench.situation().put_aside == {"listen"}
    assert bench.situation().history.steps == ()
    bench.take(ask("listen", by="final test"))
    assert answer_of(bench) == "silent"


def test_clairvoyant_takes_the_cheapest_way(book: Book) -> None:
    """He prefers the sure remedy, opens once, mends what that brought about, and tests once."""
    for seed in ("one", "two", "three", "four", "five", "six"):
        drawn = deck_with("dry_shaft", seed=seed)
        probe = Bench(book, drawn)
        probe.open_to("transport")
        push = 1 if "plug_loose" in probe.faults else 0
        bench = Bench(book, drawn)
        assert clairvoyant_minutes(book, drawn, bench) == (8 + 22) + 15 + push + (1 + 2)
        assert not bench.faults


def test_every_policy_ends_and_none_beats_the_clairvoyant(book: Book) -> None:
    """Over 40 decks each policy finishes, and takes longer in the mean than who knows all."""
    trial = Trial(decks=40, seed=3, policies=POLICIES, kind=Kind(strange=0.0))
    found = score(compare(book, trial, jobs=1))
    base = found.policies["clairvoyant"].mean_minutes
    for name in POLICIES:
        each = found.policies[name]
        assert each.mean_minutes > base
        assert each.ratio_to_clairvoyant == pytest.approx(each.mean_minutes / base)
        assert each.ratio_interval[0] <= each.ratio_to_clairvoyant <= each.ratio_interval[1]
        assert each.loops == 0


def test_planner_leaves_a_tested_deck(book: Book) -> None:
    """The planner's run ends with the final test passed, or says that it is outside the book."""
    rulebook = Rulebook(book)
    for number in range(20):
        drawn = draw_deck(book, rulebook, 8, number, Kind(strange=0.0))
        assert run(book, drawn, "planner").end in ("passed", "outside")


def test_unknown_fault_is_called_outside_the_book(book: Book) -> None:
    """A sign that nothing in the book accounts for ends in words, not in a loop."""
    done = run(book, deck_with(strange=frozenset({"silent"})), "planner", cant_tell=0.0)
    assert done.end == "outside"
    assert done.minutes < 300


def test_trials_repeat_whatever_the_number_of_processes(book: Book) -> None:
    """Equal trials give equal results on one core and on two; another seed gives others."""
    trial = Trial(decks=4, seed=3, policies=("planner",))
    told: list[tuple[int, int]] = []
    alone = compare(book, trial, lambda done, of: told.append((done, of)), jobs=1)
    assert compare(book, trial, jobs=2) == alone
    assert compare(book, replace(trial, seed=4), jobs=1) != alone
    assert told == [(1, 4), (2, 4), (3, 4), (4, 4)]


def test_fault_left_costs_a_second_visit(book: Book) -> None:
    """A deck called well with a fault in it is charged the clairvoyant's repair of it."""
    found = [
        t.runs["walk"]
        for t in compare(book, Trial(decks=60, seed=1, policies=("walk",)), jobs=1)
        if t.runs["walk"].left
    ]
    assert found
    assert all(r.comeback_minutes > 0 and r.all_minutes > r.minutes for r in found)


def test_calibration_by_hand() -> None:
    """Two causes stated at 0.8 and 0.4, one there: worked out by hand."""
    found = calibration([(0.8, True), (0.4, False)])
    assert found.brier == pytest.approx((0.2**2 + 0.4**2) / 2)
    assert found.ece == pytest.approx((0.2 + 0.4) / 2)
    assert found.brier_prior == pytest.approx(0.25)


def test_calibration_sees_overstatement() -> None:
    """Chances that are true have a small error, the same doubled a large one."""
    chance = Chance("judged")
    stated = [(p, chance.happens(p, n)) for n in range(6000) if (p := chance.number("p", n) / 2)]
    true, doubled = calibration(stated), calibration([(2 * p, there) for p, there in stated])
    assert true.ece < 0.03 < 0.2 < doubled.ece
    assert true.brier < doubled.brier


def tried(number: int, minutes: float, end: str, *, is_strange: bool = False) -> Tried:
    """A deck that took so many minutes against 10 of the clairvoyant's."""
    base = Run(minutes=10.0, comeback_minutes=0.0, end="passed", left=(), wasted=0, steps=0)
    return Tried(
        number=number,
        faults=1,
        is_strange=is_strange,
        runs={"clairvoyant": base, "planner": replace(base, minutes=minutes, end=end)},  # type: ignore[arg-type]
        stated=((0.5, True),),
    )


def test_score_counts_loops_and_keeps_strange_decks_apart() -> None:
    """Ten times the clairvoyant's minutes without 'outside' is a loop, on any deck."""
    found = score(
        [
            tried(0, 20.0, "passed"),
            tried(1, 30.0, "passed"),
            tried(2, 101.0, "gave up", is_strange=True),
            tried(3, 500.0, "outside", is_strange=True),
        ]
    )
    planner = found.policies["planner"]
    assert planner.mean_minutes == pytest.approx(25.0)
    assert planner.ratio_to_clairvoyant == pytest.approx(2.5)
    assert planner.loops == 1
    assert found.strange_called_outside == {"planner": pytest.approx(0.5)}


def test_what_is_left_is_charged_at_the_rate_of_the_first_visit() -> None:
    """Who leaves half of the work undone is as slow as who takes as long for half of it."""
    whole = Run(minutes=10.0, comeback_minutes=0.0, end="passed", left=(), wasted=0, steps=0)
    half = replace(whole, minutes=8.0, comeback_minutes=5.0, left=("worn_belt",))
    deck = replace(tried(0, 10.0, "passed"), runs={"clairvoyant": whole, "planner": half})
    planner = score([deck]).policies["planner"]
    assert planner.ratio_to_clairvoyant == pytest.approx(1.3)
    assert planner.ratio_at_own_rate == pytest.approx(1.6)
    assert score([deck]).policies["clairvoyant"].ratio_at_own_rate == pytest.approx(1.0)


def test_page_and_json_name_every_policy(book: Book) -> None:
    """The page shows each policy and runs nothing; the JSON has the agreed keys."""
    trial = Trial(decks=4, seed=2, policies=("planner",), kind=Kind(strange=0.0))
    found = score(compare(book, trial, jobs=1))
    shown = html("<tape>", found)
    assert "&lt;tape&gt;" in shown
    assert "<script" not in shown
    form = json.loads(json.dumps(json_form(trial, found)))
    assert form["decks"] == 4
    assert {"brier", "ece"} <= form["calibration"].keys()
    for name in ("planner", "clairvoyant"):
        assert name in shown
        assert {
            "mean_minutes",
            "p90_minutes",
            "ratio_to_clairvoyant",
            "ratio_interval",
            "all_mended_share",
        } <= form["policies"][name].keys()


def test_clairvoyant_ends_well(book: Book) -> None:
    """After the clairvoyant the deck would pass its final test."""
    drawn = deck_with("worn_belt", "dry_shaft", seed="both")
    bench = Bench(book, drawn)
    clairvoyant_minutes(book, drawn, bench)
    bench.close()
    for check in book.final_test:
        bench.take(ask(check, by="final test"))
    assert is_well(book, drawn.deck, bench.situation().history) or any(
        drawn.chance.happens(book.signs[s].leak, "leaks", s) for s in ("silent", "slow")
    )
