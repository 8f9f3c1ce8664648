"""What to do next.

The policy is the rate rule, with what simulation and exact optima added to it:

Nothing powers a deck that is known to be unsafe on the mains, and its repair is looked at before
anything else (`hazards.py`). Then:

1. The author leads: the intake first, then the walk of a complaint as long as it has a step.
2. The check that tells most per minute, opening and closing of layers in the price, checks behind
   one cover taken as a block (`blocks.py`), if its nats are worth their minutes.
3. A remedy as soon as it is due (`due.py`): likely or a good insurance, and no look would cost less
   than mending in vain. It goes before any check that is not much better.
4. The final test early, at a price: when the odds of a well deck exceed the minutes until a test
   that must fail fails, and those of reopening, over `TEST_WORTH`. What fails most for its minutes
   is tested first.
5. Once the test has failed, no more of it until the failing sign is gone or lies outside the book
   (`outside.py`); the best of all that is left, worth its minutes or not, while there is hope.

Where the rule comes from: value of information per cost with access costs (Heckerman, Breese,
Rommelse, Communications of the ACM 38, 1995; Warnquist, Nyberg, Saby 2008), probability over cost
for the order of repairs (Kadane and Simon, Annals of Statistics 5, 1977). In an earlier simulation
of 500 invented decks (sixty causes, six layers) the rate rule needed 1.92 [1.85, 1.98] times the
minutes of somebody who knows the faults, against 2.61 for most information without regard to
minutes, 3.03 for inspecting by probability over cost, and 5.75 for a fixed order.

The constants were chosen on 40 to 60 decks drawn from the cassette book with one to four faults
(seed 11). Minutes to all faults mended in steps, each on top of the one before: 304 with the plain
rule; 296 with looks before remedies, the price of the test and its order; 290 with a nat worth 20
minutes instead of 60; 263 with signs called outside the book from 0.5 instead of 0.8; 259 with
insurance. Differences below 10 are within their luck. `MUCH_BETTER` and `TEST_WORTH`, on which the
book's decks did not depend, were set by exact optima of small problems.

On 2,050 decks of a book of 353 causes (seeds 4000 to 4020) it took 1.93 [1.91, 1.96] times the
minutes of a clairvoyant, and 2.19 times with what it left charged at its own rate. (Those of them
that could be touched by it were run again after `IN_VAIN` came in; 800 of them with `not_while` in
the book, which changed their minutes by 0.1 % [-0.1, 0.4].) On 1,100 others (seeds 5001 to 5011) it
took 1.92 [1.89, 1.95] times. On 100 of the first it took 0.63
[0.59, 0.66] of cost over probability with a look first, and 0.39 [0.35, 0.43] of the textbook
order. Those 100 took 0.99 [0.96, 1.03] times its minutes with the book's figures off by a standard
deviation of 0.5 in log-odds, 1.08 [1.03, 1.13] at 1.0, and 1.10 [1.07, 1.13] with 25 in 100 answers
'can't tell' instead of 8. The walks alone took 1.45 [1.39, 1.51] times its minutes over 288 decks
(seed 7, ten a complaint).

On 200 problems of 8 causes that can be solved exactly it took 4.1 % more than the optimum, 13 % at
worst; on 40 of 5 causes whose repairs may fail 3.0 %, of which it gave up less than 1 in 1,000. One
step of look-ahead by rollout, taken exactly, would save 2.3 % of the first kind and 1.9 % of the
second (40 problems each); it is not done, as it would run the policy hundreds of times a step.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from diag.model.history import Mended
from diag.planning.access import round_trip
from diag.planning.blocks import LEAST_MINUTES, rates
from diag.planning.due import Due
from diag.planning.final_test import (
    faulty_signs,
    final_checks,
    final_steps,
    is_passed,
    minutes_to_failure,
)
from diag.planning.gain import CheckGain, check_gains
from diag.planning.hazards import hazards_first, look_again, told_why
from diag.planning.led import intake_step, walked_step
from diag.planning.next_step import NextStep
from diag.planning.outside import HOPE, IN_VAIN, MAY_WELL_BE
from diag.planning.reasons import check_reason, not_worth_it, remedy_reason
from diag.planning.screening import promising
from diag.planning.situation import Situation

MINUTES_PER_NAT = 20.0
"""What a nat is worth: a check below 1/20 nat a minute costs more than it saves."""
MUCH_BETTER = 2.0
"""How many times worth its minutes a check must be to go before a remedy that is due."""
TEST_WORTH = 20.0
"""Minutes that a test of a deck that proves well is worth: it ends the search."""
REMEDY_MINUTES = 60.0
"""What mending a present fault saves: the minutes of finding it otherwise."""
OFFERED = 20
"""Steps that are worth listing; nobody reads on."""


def next_steps(at: Situation) -> tuple[NextStep, ...]:
    """What to do, best first, `OFFERED` at most; empty when the final test stands passed."""
    led = _led(at)
    planned = _planned(at)
    if led is None:
        return told_why(at, planned)
    return told_why(at, (led, *(step for step in planned if step.id != led.id)))


def first_step(at: Situation) -> NextStep | None:
    """The first of `next_steps`, without the work for the others where the author leads."""
    return _led(at) or next(iter(_planned(at)), None)


def _led(at: Situation) -> NextStep | None:
    """The step that comes before any that the planner has."""
    return look_again(at) or intake_step(at) or walked_step(at)


def _planned(at: Situation) -> tuple[NextStep, ...]:
    if is_passed(at):
        return ()
    gains = promising_gains(at)
    checks, remedies = _checks(at, gains), remedy_steps(at)
    if _may_be_well(at) or not any(step.is_worth_it for step in (*checks, *remedies)):
        gains |= _gains(at, [c for c in _tested(at) if c not in gains])
        checks = _checks(at, gains)
    fails = {check: _fails(at, gain) for check, gain in gains.items()}
    ordered = _ordered(at, checks, remedies, final_steps(at, fails), fails)
    ordered = hazards_first(at, ordered)
    return tuple(_with_reason(at, step, gains) for step in ordered[:OFFERED])


def _ordered(
    at: Situation,
    checks: list[NextStep],
    remedies: list[NextStep],
    test: list[NextStep],
    fails: Mapping[str, float],
) -> list[NextStep]:
    """The decision loop."""
    due = [r for r in remedies if r.is_worth_it]
    worth = [c for c in checks if c.is_worth_it]
    eager = [c for c in worth if not due or c.saves >= MUCH_BETTER * max(1.0, due[0].saves)]
    rest = sorted([*checks, *remedies], key=lambda step: -step.saves)
    wrong = faulty_signs(at)
    if not wrong and _is_test_due(at, test, fails):
        better = [c for c in eager if c.saves >= MUCH_BETTER]
        ranked = [*better, *test, *eager, *due, *worth, *rest]
    elif wrong and not due and not worth and has_hope(at, rest) and not is_outside(at):
        ranked = [*rest, *test]
    else:
        ranked = [*eager, *due, *worth, *test, *rest]
    first: dict[tuple[str, str], NextStep] = {}
    for step in ranked:
        first.setdefault((step.kind, step.id), step)
    return list(first.values())


def _is_test_due(at: Situation, test: list[NextStep], fails: Mapping[str, float]) -> bool:
    """Whether the odds of a well deck are worth the test, and reopening if it fails."""
    reopen = sum(round_trip(at.book, layer) for layer in at.open_layers)
    return at.well * TEST_WORTH > (1.0 - at.well) * (minutes_to_failure(test, fails) + reopen)


def _may_be_well(at: Situation) -> bool:
    """Whether the test can be due at all: it takes its shortest check at least."""
    shortest = min((at.book.checks[check].minutes for check in _tested(at)), default=0.0)
    return at.well * TEST_WORTH > (1.0 - at.well) * shortest


def _tested(at: Situation) -> list[str]:
    """The checks of the final test that are open: once it is due, only hazards bar any of them."""
    found = final_checks(at.book, at.deck)
    return [check for check in found if check in at.open_checks and check not in at.too_dangerous]


def has_hope(at: Situation, steps: Sequence[NextStep]) -> bool:
    """Whether to go on where no step is worth its minutes, the best of them first.

    There is hope while the best saves enough of them, or while some remedy, however dear, may well
    be what is needed. There is none once `IN_VAIN` repairs have left every sign that is wrong.
    """
    wrong = faulty_signs(at)
    if not steps or (wrong and all(_repaired(at, sign) >= IN_VAIN for sign in wrong)):
        return False
    if steps[0].saves >= HOPE:
        return True
    return any(at.needed[remedy] >= MAY_WELL_BE for remedy in at.remedies)


def _repaired(at: Situation, sign: str) -> int:
    """How many repairs were done of what can bring a sign about."""
    done = [step.remedy for step in at.history.steps if isinstance(step, Mended)]
    causes = at.book.causes
    return sum(
        any(sign in causes[c].shows for c in at.book.mends.get(remedy, ())) for remedy in done
    )


def is_outside(at: Situation) -> bool:
    """Whether the final test fails only by what the book doesn't account for."""
    return faulty_signs(at) <= {found.sign for found in at.outside}


def promising_gains(at: Situation) -> dict[str, CheckGain]:
    """What each of the most promising checks would tell."""
    return _gains(at, promising(at.book, at.now, at.asked, at.ways))


def _gains(at: Situation, checks: Sequence[str]) -> dict[str, CheckGain]:
    return {gain.check: gain for gain in check_gains(at.book, at.network, at.now, checks)}


def _fails(at: Situation, gain: CheckGain) -> float:
    """Chance that a check finds a sign present."""
    said = at.book.checks[gain.check].evidence.values()
    good = sum(
        float(p) for p, signs in zip(gain.chance, said, strict=True) if not any(signs.values())
    )
    return 1.0 - good


def _checks(at: Situation, gains: Mapping[str, CheckGain]) -> list[NextStep]:
    """Checks by what they save: nats in minutes, for each minute of the check and its layers."""
    found = rates(at.book, at.ways, {name: gain.nats for name, gain in gains.items()})
    steps = []
    for name, gain in gains.items():
        entry, rate = at.book.checks[name], found[name]
        saves = rate.nats_a_minute * MINUTES_PER_NAT
        own = gain.nats / max(entry.minutes, LEAST_MINUTES)
        step = NextStep(
            "check",
            name,
            entry.minutes,
            at.ways[entry.at],
            saves,
            "planner",
            together=rate.together,
            is_worth_it=saves >= 1.0,
        )
        steps.append((-saves, -own, name, step))
    return [step for *_, step in sorted(steps, key=lambda scored: scored[:3])]


def remedy_steps(at: Situation) -> list[NextStep]:
    """Remedies by what they save: the cost of finding the cause otherwise, were it there.

    Those that are due are worth it; a fault that is likely must go in the end.
    """
    steps = []
    for name in at.remedies:
        entry = at.book.remedies[name]
        way = at.ways[entry.at]
        saves = at.needed[name] * entry.cures * REMEDY_MINUTES
        saves /= max(entry.minutes + way.minutes, 1.0)
        if saves > 0.0:
            steps.append(
                NextStep("remedy", name, entry.minutes, way, saves, "planner", is_worth_it=False)
            )
    due = Due(at, steps)
    judged = [replace(s, is_worth_it=True) if due.is_due(s) else s for s in steps]
    return sorted(judged, key=lambda step: (-step.saves, step.id))


def _with_reason(at: Situation, step: NextStep, gains: Mapping[str, CheckGain]) -> NextStep:
    if step.why:
        return step
    if step.kind == "check":
        why = check_reason(at.book, step, gains[step.id].parts)
    else:
        why = remedy_reason(at.book, at.likeliest(step.id), at.needed[step.id], step.all_minutes)
    return replace(step, why=why if step.is_worth_it else f"{why} {not_worth_it()}")
