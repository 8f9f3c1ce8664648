"""The book against benches: what was observed goes in, what was wrong must come out near the top.

Each folder of tests/worked_cases has a `cases.yaml`: file -> {truth: [cause ids], says: sentence,
standing: where the case comes from}. A case file is what `benchtrail rank` takes.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.history import Given, History
from diag.model.trait import Deck, fits
from diag.planning.final_test import is_well
from diag.reading.book import read_book
from diag.reading.location import shipped
from diag.reading.rank_file import rank_case, rank_file_family
from diag.rules.rulebook import Rulebook

FOLDER = Path(__file__).parent / "worked_cases"
FIRST = 3
"""Causes among which the true one must be; with several true ones, as many more."""


@cache
def shipped_book() -> tuple[Book, Rulebook]:
    """The cassette book, read once."""
    book = read_book(shipped(), "cassette")
    return book, Rulebook(book)


def listed() -> dict[Path, dict[str, Any]]:
    """Every case file with what its list says of it."""
    found: dict[Path, dict[str, Any]] = {}
    for index in sorted(FOLDER.rglob("cases.yaml")):
        for name, told in yaml.safe_load(index.read_text(encoding="utf-8")).items():
            found[index.parent / f"{name}.yaml"] = told
    return found


def ranking(path: Path) -> dict[str, float]:
    """Probabilities of a case file, most probable first."""
    book, rulebook = shipped_book()
    tree, _ = rank_file_family(path)
    case = rank_case(tree, book, path)
    raised = rulebook.conclude(case.deck, case.history).raised
    causes = solve(network(book, case.deck, case.history, raised)).causes
    return dict(sorted(causes.items(), key=lambda pair: -pair[1]))


@pytest.mark.parametrize("path", listed(), ids=lambda path: path.stem)
def test_true_cause_comes_out_near_the_top(path: Path) -> None:
    """Each true cause is among the first three, or as many more as there are true ones."""
    truth = listed()[path]["truth"]
    order = list(ranking(path))
    limit = FIRST + len(truth) - 1
    places = {cause: order.index(cause) + 1 for cause in truth}
    assert max(places.values()) <= limit, f"{places}; first: {order[:limit]}"


def test_every_case_is_listed_with_its_standing() -> None:
    """No case file lies about unlisted, and each list entry says where its case comes from."""
    files = {path for path in FOLDER.rglob("*.yaml") if path.name != "cases.yaml"}
    assert files == set(listed())
    for told in listed().values():
        assert told["standing"] in ("repair report", "common practice")
        assert told["says"].endswith(".")


def test_there_are_enough_cases_from_reports() -> None:
    """At least fifteen come from published repair reports."""
    assert sum(told["standing"] == "repair report" for told in listed().values()) >= 15


def test_healthy_deck_accuses_nobody() -> None:
    """A deck on which intake and final test find nothing is well, with every cause unlikely."""
    book, _ = shipped_book()
    deck = Deck(age_years=45)
    steps = tuple(
        Given(check, list(book.checks[check].answers)[-1], "certain", number)
        for number, check in enumerate(dict.fromkeys([*book.intake, *book.final_test]), start=1)
        if fits(book.checks[check].where, deck.traits)
    )
    history = History((), steps)
    causes = solve(network(book, deck, history)).causes
    likely = {cause: p for cause, p in causes.items() if p > 0.2}
    assert likely == {}
    assert is_well(book, deck, history)


def test_strap_without_a_mains_motor_is_told_to_have_no_effect() -> None:
    """Common practice: only a motor that is fed from the mains follows its frequency."""
    _, rulebook = shipped_book()
    facts: dict[str, float | str] = {"strap_hz": 60.0, "local_hz": 50.0}
    without = rulebook.conclude(Deck(traits={"mains_motor": "no"}, facts=facts), History())
    assert "strap_wrong" not in without.derived
    assert "strap_no_effect" in without.thumbs
    with_motor = rulebook.conclude(Deck(traits={"mains_motor": "yes"}, facts=facts), History())
    assert "strap_wrong" in with_motor.derived
    assert "sync_speed_follows_mains" in with_motor.thumbs
