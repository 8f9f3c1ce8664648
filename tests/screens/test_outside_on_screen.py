"""What the bench says of signs outside the book, and of advice and reasons that are estimates."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from conftest import Bench
from rich.console import Console, RenderableType

from diag.inference.posterior import OFTEN, WIDEST
from diag.model.trait import Deck
from diag.session.detail import cause_detail
from diag.session.session import Session
from diag.session.snapshot import CauseDetail, Snapshot
from screens.app import BenchtrailApp
from screens.cause import ESTIMATED, told
from screens.cli.ask_text import show_detail
from screens.cli.prompts import Prompts
from screens.ending import ending
from screens.noted import remarks

STAYS = (
    "Outside the book: 'the tape runs slow' stays, and no fault that the book knows accounts for it"
    " (80 %). Write down what you find; nothing more in the book is worth its minutes."
)
GOOD = {"first_power": "quiet", "play_moves": "moves", "hubs_in_play": "both", "belt_feel": "right"}
AppOf = Callable[..., BenchtrailApp]


def slow_deck(app: BenchtrailApp) -> Session:
    """A deck without a belt or a mains motor that runs slow; all else is as it should be."""
    deck = Deck(age_years=45, traits={"drive": "direct", "mains_motor": "no"})
    session = app.engine.shelf().take_in("Deck", "tape", deck, ["runs_slow"])
    for check, answer in GOOD.items():
        session.answer(check, answer)
    session.answer("whole_side", "slow")
    return session


def as_wide(snapshot: Snapshot, width: int, *, bounded: bool) -> Snapshot:
    """The same case, were so many signs to hang together."""
    found = snapshot.assessment
    assert found is not None
    bounds = dict.fromkeys(found.posterior.causes, (0.12, 0.48)) if bounded else None
    posterior = replace(found.posterior, width=width, bounds=bounds)
    return replace(snapshot, assessment=replace(found, posterior=posterior))


def words(part: RenderableType) -> str:
    """What is drawn, as one line."""
    console = Console(width=100)
    with console.capture() as shown:
        console.print(part)
    return " ".join(shown.get().split())


async def test_bench_tells_what_lies_outside_above_the_step(bench: Bench, app_of: AppOf) -> None:
    """It stands in full on the card, before a danger is read and after, and leaves with undo."""
    case = slow_deck(app_of()).case
    async with bench((140, 45), case=case) as hand:
        assert "Read this before the next step is shown" in hand.reads
        assert STAYS in hand.reads
        await hand.press("y")
        assert STAYS in hand.reads
        assert "Mend: Fit a capstan belt" in hand.reads.partition(STAYS)[2]
        await hand.press("u", "u")
        assert "Outside the book" not in hand.reads


async def test_small_terminal_tells_it_with_the_step(bench: Bench, app_of: AppOf) -> None:
    """On 80 by 24 the card still has all of it, and the strip names it first."""
    case = slow_deck(app_of()).case
    async with bench(case=case) as hand:
        assert STAYS in hand.reads
        assert "Noted (v), 1: ! Outside the book: 'the tape runs slow' stays" in hand.sees


async def test_step_of_ones_own_choice_is_not_judged(bench: Bench, app_of: AppOf) -> None:
    """What the person chose beside the planner's list has no such words on its card."""
    case = slow_deck(app_of()).case
    async with bench(case=case) as hand:
        await hand.press("a")
        await hand.write("whichhubs")
        await hand.press("enter")
        assert "Which hubs turn?" in hand.reads
        assert STAYS not in hand.reads


def test_end_of_all_steps_tells_it_too(app_of: AppOf) -> None:
    """Where nothing is left at all, the reason stands before what can still be done."""
    snapshot = slow_deck(app_of()).snapshot
    assert snapshot.assessment is not None
    nothing = replace(snapshot, assessment=replace(snapshot.assessment, steps=()))
    _, parts = ending(nothing)
    assert words(parts[0]) == STAYS


def test_remark_says_that_wide_advice_is_estimated(app_of: AppOf) -> None:
    """Up to `OFTEN` nothing is said; above, what is estimated; with bounds, one remark for both."""
    snapshot = slow_deck(app_of()).snapshot

    def said(width: int, *, bounded: bool) -> list[str]:
        found = remarks(as_wide(snapshot, width, bounded=bounded))
        return [remark.says for remark in found if "stimated" in remark.says]

    assert said(OFTEN, bounded=False) == []
    (wide,) = said(OFTEN + 1, bounded=False)
    assert wide.startswith("Estimated: what comes next")
    assert wide.endswith("The chances are exact.")
    (bounded,) = said(WIDEST + 1, bounded=True)
    assert bounded.startswith("Bounded, not exact")
    assert "what comes next is estimated" in bounded


def detail_of(session: Session, width: int, *, bounded: bool) -> CauseDetail:
    """The detail of the hard grease, were so many signs to hang together."""
    snapshot = session.snapshot
    assert snapshot.assessment is not None
    detail = cause_detail(session.book, snapshot.state.deck, snapshot.assessment, "grease_hard")
    wide = as_wide(snapshot, width, bounded=bounded).assessment
    assert wide is not None
    assert detail.bounds is None
    assert not detail.is_estimate
    return cause_detail(session.book, snapshot.state.deck, wide, "grease_hard")


def test_page_of_a_cause_shows_an_interval_and_estimates(
    app_of: AppOf, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where chances are bounded, both pages tell the interval, and decibans as estimates."""
    detail = detail_of(slow_deck(app_of()), WIDEST + 1, bounded=True)
    page = words(told(detail))
    assert page.startswith("12-48 % now;")
    assert ESTIMATED in page
    assert {alike.bounds for alike in detail.alike} == {(0.12, 0.48)}
    show_detail(Prompts(), detail)
    plain = " ".join(capsys.readouterr().out.split())
    assert "off its rest position: 12-48 %;" in plain
    assert "(about -" in plain
    assert "Looks alike: Trigger lever sits behind its finger, 12-48 %" in plain


def test_page_of_a_cause_is_exact_where_it_can_be(
    app_of: AppOf, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where only what-ifs are wide, the chance stays one number; where nothing is, all do."""
    session = slow_deck(app_of())
    wide = words(told(detail_of(session, OFTEN + 1, bounded=False)))
    exact = detail_of(session, OFTEN, bounded=False)
    assert ESTIMATED in wide
    assert ESTIMATED not in words(told(exact))
    assert wide.partition(" now;")[0] == words(told(exact)).partition(" now;")[0]
    assert "-" not in wide.partition(" now;")[0]
    show_detail(Prompts(), exact)
    assert "(about" not in capsys.readouterr().out
