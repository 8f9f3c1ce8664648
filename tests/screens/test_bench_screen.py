"""The bench by keyboard: answers, dangers, layers, undo, and what may go wrong."""

from __future__ import annotations

from conftest import Bench, Hand, take_in

from diag.cases.events import Acknowledged, Answered, Closed, Measured, Noted, Opened, Remedied
from screens.bench import BenchScreen
from screens.widgets.step_card import StepCard

ODD = (("howdoesitlook", "1"), ("beltoff", "3"), ("onesidetoitsend", "3"))
"""Looks by their letters, and answers that go badly together: all is well but it runs slow."""


async def choose(hand: Hand, letters: str) -> None:
    """Put the first step that holds these letters on the card."""
    await hand.press("a")
    await hand.write(letters)
    await hand.press("enter")


async def test_danger_hides_the_question_until_it_is_read(bench: Bench) -> None:
    """Answers do nothing and the question is not shown before `y`, which the case records."""
    async with bench() as hand:
        await take_in(hand)
        assert "can smoke at first power" in hand.reads
        assert "What happens in the first minute?" not in hand.reads
        await hand.press("2", "0", "enter", "s")
        assert [type(e) for e in hand.events][1:] == [Answered]  # skipping it is allowed
        await choose(hand, "firstminute")
        events = len(hand.events)
        for key in ("2", "0", "enter"):
            await hand.press(key)
            assert "y first" in hand.sees
        assert len(hand.events) == events
        await hand.press("y")
        assert "y first" not in hand.sees
        assert "What happens in the first minute?" in hand.reads
        last = hand.events[-1]
        assert isinstance(last, Acknowledged)
        assert (last.caution, last.before) == ("smoke", "first_power")


async def test_key_that_bounces_does_not_answer_the_next_question(bench: Bench) -> None:
    """Of two keys in a row without a pause the second falls on nothing."""
    async with bench() as hand:
        await take_in(hand)
        await hand.press("y")
        hand.app.simulate_key("2")
        hand.app.simulate_key("2")
        await hand.settle()
        assert [type(e) for e in hand.events][1:] == [Acknowledged, Answered]


async def test_answer_moves_the_causes_and_undo_takes_it_back(bench: Bench) -> None:
    """The screen after undo is the one before the answer; redo brings the answer back."""
    async with bench() as hand:
        await take_in(hand, "1")
        await hand.press("y", "2", "3")
        before = [row[49:] for row in hand.sees.splitlines()[4:12:2]]
        await hand.press("1")
        assert "▲" in hand.sees
        answered = [row[49:] for row in hand.sees.splitlines()[4:12:2]]
        assert answered != before
        await hand.press("u")
        assert "Which hubs turn?" in hand.reads
        assert [row[49:] for row in hand.sees.splitlines()[4:12:2]] == before
        await hand.press("r")
        assert [row[49:] for row in hand.sees.splitlines()[4:12:2]] == answered


async def test_wrong_digit_to_a_chosen_check_is_mended_by_undo(bench: Bench) -> None:
    """The check that was chosen from the list stands there again, ready for the right digit."""
    async with bench() as hand:
        await take_in(hand)
        await choose(hand, "beltoff")
        await hand.press("y")
        asked = hand.app.screen.query_one(StepCard).sheet
        assert asked is not None
        assert asked.id == "belt_feel"
        await hand.press("1", "y")
        assert isinstance(hand.events[-1], Answered)
        await hand.press("u")
        again = hand.app.screen.query_one(StepCard).sheet
        assert again is not None
        assert again.id == asked.id


async def test_final_test_can_be_searched_for(bench: Bench) -> None:
    """Whoever is done finds its checks by that name, before the planner calls for them."""
    async with bench() as hand:
        await take_in(hand)
        await choose(hand, "finaltest")
        bench_screen = hand.app.screen
        assert isinstance(bench_screen, BenchScreen)
        assert bench_screen.sheet is not None
        assert bench_screen.sheet.id in bench_screen.session.book.final_test


async def test_fairly_sure_and_cant_tell_are_recorded(bench: Bench) -> None:
    """`f` marks the next answer as fairly sure, in words; `0` gives no evidence."""
    async with bench() as hand:
        await take_in(hand, "1")
        await hand.press("y", "f")
        assert "you are FAIRLY SURE only (f)" in hand.sees
        await hand.press("2")
        assert "you are certain (f)" in hand.sees
        await hand.press("0")
        first, second = hand.events[-2:]
        assert isinstance(first, Answered)
        assert first.sure == "fairly"
        assert isinstance(second, Answered)
        assert (second.answer, second.sure) == ("", "cant_tell")


async def test_arrows_and_enter_answer_too(bench: Bench) -> None:
    """Enter gives the marked answer, and nothing while none is marked."""
    async with bench() as hand:
        await take_in(hand)
        await hand.press("y", "enter")
        assert isinstance(hand.events[-1], Acknowledged)
        await hand.press("down", "down", "enter")
        last = hand.events[-1]
        assert isinstance(last, Answered)
        assert last.answer == "quiet"


async def test_measured_value_is_typed_with_comma_or_point(bench: Bench) -> None:
    """What is no number is told on the card and kept out of the case."""
    async with bench() as hand:
        await take_in(hand)
        await choose(hand, "speederror")
        await hand.press("minus", "minus", "2", "enter")
        assert "'--2' is no number." in hand.reads
        assert not any(isinstance(e, Measured) for e in hand.events)
        await hand.press("backspace", "backspace", "backspace", "enter")
        assert "There is no number yet." in hand.reads
        await hand.press("minus", "2", "comma", "1", "0", "enter")
        last = hand.events[-1]
        assert isinstance(last, Measured)
        assert (last.value, last.unit, last.answer) == (-2.1, "%", "slow")


async def test_answer_at_a_closed_layer_opens_it_first(bench: Bench) -> None:
    """The way in is shown; refusing it gives no answer, taking it records the openings."""
    async with bench() as hand:
        await take_in(hand)
        await choose(hand, "howdoesitlook")
        await hand.press("y")
        assert "Opens: lid, transport (14 minutes to open)" in hand.reads
        await hand.press("1")
        assert "Six screws; the two long ones sit at the rear." in hand.reads
        await hand.press("escape")
        assert not any(isinstance(e, Opened | Answered) for e in hand.events)
        await hand.press("1", "1")  # a digit that bounces does not say yes
        assert not any(isinstance(e, Opened) for e in hand.events)
        await hand.press("y")
        assert [type(e) for e in hand.events][-3:] == [Opened, Opened, Answered]


async def test_layers_open_and_close_by_themselves(bench: Bench) -> None:
    """Closing tells first what to look at, and closes what lies under the layer, too."""
    async with bench() as hand:
        await take_in(hand)
        await hand.press("l", "2", "enter")
        assert [type(e) for e in hand.events][-2:] == [Opened, Opened]
        await hand.press("l", "1")
        assert "Turn it through play and stop by hand." in hand.reads
        await hand.press("y")
        closed = [e.layer for e in hand.events if isinstance(e, Closed)]
        assert closed == ["transport", "lid"]
        assert "deck closed" in hand.sees


async def test_remedy_that_is_given_up_is_recorded_with_its_note(bench: Bench) -> None:
    """Giving up needs no opening; the note goes into the event."""
    async with bench() as hand:
        await take_in(hand, "1")
        await hand.press("m", "1", "2")
        assert "y first" in hand.sees
        await hand.press("y", "2")
        await hand.write("no tyre")
        await hand.press("enter")
        last = hand.events[-1]
        assert isinstance(last, Remedied)
        assert (last.remedy, last.outcome, last.note) == ("clean_idler", "given_up", "no tyre")
        assert isinstance(hand.app.screen, BenchScreen)


async def test_cause_leads_to_its_reasons_and_remedies(bench: Bench) -> None:
    """The list of causes opens one; its page has both sides of the evidence and its remedies."""
    async with bench() as hand:
        await take_in(hand, "1")
        await hand.press("y", "2", "3", "1", "c", "enter")
        assert "Speaks for it" in hand.sees
        assert "Only the supply hub" in hand.reads
        assert "looks like it" in hand.reads
        await hand.press("1", "y")
        assert "Mend: Clean and roughen the idler tyre" in hand.reads
        await hand.press("escape", "escape", "escape")
        assert isinstance(hand.app.screen, BenchScreen)


async def test_rules_are_noted_and_read_in_full(bench: Bench) -> None:
    """A derived fact stands in the strip with the facts behind it a key away."""
    async with bench() as hand:
        await take_in(hand)
        await hand.press("i", "down", "down", "down", "5", "0", "down", "6", "0", "enter", "down")
        await hand.press("1", "b")
        assert "Noted (v), 2: So The mains motor is set" in hand.reads
        await hand.press("v")
        assert "(mains motor: yes; strap hz: 60; local hz: 50)" in hand.reads
        assert "A mains motor turns with the mains frequency (published)" in hand.reads


async def test_answers_that_clash_are_told_and_asked_again(bench: Bench) -> None:
    """What can't be true together is said in words, and advice goes on."""
    async with bench() as hand:
        await take_in(hand, "1")
        await hand.press("y", "2", "2", "2")
        assert "! Nothing moved in play at intake, yet both hubs turn now." in hand.reads
        assert "Most probable" in hand.sees


async def test_terminal_that_is_resized_keeps_the_question(bench: Bench) -> None:
    """A third column comes and goes with the width; the question stays."""
    async with bench() as hand:
        await take_in(hand, "1")
        await hand.press("y", "2", "3")
        assert "Other steps" not in hand.sees
        await hand.pilot.resize_terminal(140, 45)
        await hand.settle()
        assert "Other steps" in hand.sees
        assert "Which hubs turn?" in hand.reads
        await hand.pilot.resize_terminal(60, 16)
        await hand.settle()
        assert "Which hubs turn?" in hand.reads
        assert "1 Only the supply hub" in hand.sees


async def test_small_terminal_keeps_question_and_answers_in_sight(bench: Bench) -> None:
    """Where the text is too long, it scrolls; what is asked and the answers do not."""
    async with bench((64, 16)) as hand:
        await take_in(hand, "1")
        await hand.press("y", "2", "3")
        assert "more above or below: PgUp, PgDn" in hand.sees
        await hand.press(*["pagedown"] * 12)
        assert "Time: 2 minutes, powered" in hand.sees
        assert "Which hubs turn?" in hand.reads


async def test_another_window_is_noticed(bench: Bench) -> None:
    """A case that went on elsewhere is shown as it is, and nothing is written over it."""
    async with bench() as hand:
        await take_in(hand)
        (deck,) = hand.app.engine.shelf().decks()
        hand.app.engine.reopen(deck.id).note("from the other window")
        await hand.press("y")
        assert "Another window has gone on with this case" in hand.reads
        await hand.press("enter", "y")
        assert [type(e) for e in hand.events][-2:] == [Noted, Acknowledged]


async def test_answers_that_cannot_all_be_true_are_told(bench: Bench) -> None:
    """Two certain answers on one sign: both are named in words."""
    async with bench() as hand:
        await take_in(hand, "1")
        await hand.press("y", "2", "3", "2")
        await choose(hand, "onesidetoitsend")
        await hand.press("2", "v")
        assert "Two answers disagree" in hand.reads


async def test_open_layer_shows_what_is_worth_doing_in_there(bench: Bench) -> None:
    """The block comes with the opening; `h` tells each with its reason and puts one on the card."""
    async with bench() as hand:
        await take_in(hand, "1")
        await hand.press("y", "2", "3", "1")
        assert "While you are in here" not in hand.sees
        await hand.press("l", "2", "enter")
        assert "While you are in here (h)" in hand.sees
        await hand.press("h")
        assert "1 Mend: Fit a new idler tyre" in hand.reads
        assert "50 minutes once the deck is closed, and 91 % likely to be needed" in hand.reads
        assert "2 Move the trigger lever from end to end." in hand.reads
        assert "32 minutes once the deck is closed, and it parts" in hand.reads
        await hand.press("2")
        assert "Does its partner follow? Time: 2 minutes" in hand.reads


async def test_look_that_the_opening_calls_for_comes_before_closing(bench: Bench) -> None:
    """Enter goes to the look and leaves the layer open; once it is had, closing asks no more."""
    async with bench() as hand:
        await take_in(hand)
        await hand.press("l", "2", "enter", "l", "2")
        assert "'Trigger lever sits behind its finger'" in hand.reads
        assert "which the opening may have brought about" in hand.reads
        await hand.press("enter")
        assert "Move the trigger lever from end to end" in hand.reads
        assert not any(isinstance(e, Closed) for e in hand.events)
        await hand.press("2", "l", "2")
        assert "which the opening may have brought about" not in hand.reads
        await hand.press("y")
        assert isinstance(hand.events[-1], Closed)


async def test_layer_can_be_left_open(bench: Bench) -> None:
    """`n` leaves the list of what comes before closing, with nothing written."""
    async with bench() as hand:
        await take_in(hand)
        await hand.press("l", "2", "enter", "l", "2")
        before = hand.events
        await hand.press("n")
        assert hand.events == before
        assert "open: lid, transport" in hand.sees


async def test_answers_at_odds_are_named_and_asked_again_worst_first(bench: Bench) -> None:
    """What sits worst is named in the strip of a small terminal; `g` asks it, then the next."""
    async with bench() as hand:
        await take_in(hand, "1")
        await hand.press("y", "2", "3")
        await hand.press("l", "2", "enter")
        for letters, answer in ODD:
            await choose(hand, letters)
            await hand.press(answer)
        await hand.press("y")  # the side is played on the closed deck
        assert "Sits worst with the rest" in hand.sees
        assert "g ask again" in hand.sees
        await hand.press("g")
        assert "the answer was: It runs slow." in hand.reads
        await hand.press("g", "y")  # the next is behind the lid, with its danger
        assert "the answer was: It shines or is cracked." in hand.reads
