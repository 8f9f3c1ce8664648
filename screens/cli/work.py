"""`benchtrail work`: the bench sums and jobs on lists; lists them, shows one, or works it."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diag.errors import BenchtrailError
from screens.cli import work_case, work_list
from screens.cli.exit_codes import Exit
from screens.cli.output import say, say_wrapped

if TYPE_CHECKING:
    from diag.workshop.declaration import Sum
    from diag.workshop.job import Job
    from diag.workshop.work import Result


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    top = commands.add_parser("work", help="work a bench sum: belts, speed, capacitors, levels")
    top.add_argument("name", nargs="?", metavar="NAME", help="the sum; without it, all are listed")
    top.add_argument(
        "given", nargs="*", metavar="KEY=VALUE", help="its inputs; without them, it is explained"
    )
    top.add_argument("--out", metavar="FILE", help="write what comes of a list to a new CSV file")
    top.add_argument("--json", action="store_true", help="print everything as JSON")
    work_case.add_case(top)
    top.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """List, explain or work.

    Raises:
        BenchtrailError: no such sum, or its inputs are not what they should be.
    """
    # Inside, so that no other command has to wait for the sums.
    from diag.workshop.catalogue import sum_named
    from diag.workshop.jobs import JOBS
    from diag.workshop.work import note_of, work

    work_case.check(arguments)
    if arguments.name is None:
        list_all(as_json=arguments.json)
        return Exit.DONE
    if arguments.name in JOBS:
        return run_job(JOBS[arguments.name], arguments)
    a_sum = sum_named(arguments.name, JOBS)
    if arguments.out:
        raise BenchtrailError("only what comes of a list is written out.", where=a_sum.name)
    if not arguments.given:
        if arguments.json:
            _say_json(declared(a_sum))
        else:
            explain(a_sum)
        return Exit.DONE
    result = work(a_sum, typed(arguments.given))
    case = work_case.CaseOf(arguments, result.tells) if arguments.case else None
    if arguments.json:
        _say_json(as_json(result) | ({"case": case.as_json()} if case else {}))
    else:
        tell_result(result)
    _into(case, note_of(result), arguments)
    return Exit.DONE


def list_all(*, as_json: bool) -> None:
    """Every sum and every job with its title, or all that is declared of them."""
    from diag.workshop.catalogue import SUMS
    from diag.workshop.jobs import JOBS

    if as_json:
        sums = [declared(one) for one in SUMS.values()]
        _say_json([*sums, *map(work_list.declared, JOBS.values())])
        return
    titles = {name: one.title for name, one in SUMS.items()}
    titles |= {name: one.title for name, one in JOBS.items()}
    for name, title in titles.items():
        say(f"{name:<20} {title}")


def run_job(job: Job, arguments: argparse.Namespace) -> int:
    """Explain a job, or do it.

    Raises:
        BenchtrailError: its list or a figure is not what it should be.
    """
    from diag.workshop.job import note_of

    if not arguments.given:
        if arguments.json:
            _say_json(work_list.declared(job))
        else:
            work_list.explain(job)
        return Exit.DONE
    out = Path(arguments.out).expanduser() if arguments.out else None
    _, outcome = work_list.do(job, typed(work_list.with_key(job, arguments.given)), out)
    told = (outcome.tells, outcome.renews)
    case = work_case.CaseOf(arguments, *told) if arguments.case else None
    if arguments.json:
        _say_json(work_list.as_json(job, outcome) | ({"case": case.as_json()} if case else {}))
    else:
        work_list.tell(job, outcome, out)
    _into(case, note_of(job, outcome), arguments)
    return Exit.DONE


def _into(case: work_case.CaseOf | None, note: str, arguments: argparse.Namespace) -> None:
    """Tell what a result says to a case, and put down what the call takes of it."""
    if case is None:
        return
    if not arguments.json:
        case.tell()
    case.put_down(note)


def typed(words: Sequence[str]) -> dict[str, str]:
    """Inputs by key; words without `=` belong to the value before them, so blanks need no quotes.

    Raises:
        BenchtrailError: the first word has no `=`, or a key comes twice.
    """
    found: dict[str, str] = {}
    last = ""
    for word in words:
        key, is_there, value = word.partition("=")
        if is_there:
            last = key.strip()
            if last in found:
                raise BenchtrailError(f"'{last}' is given twice.", do="Give it once.")
            found[last] = value
        elif last:
            found[last] += f" {word}"
        else:
            raise BenchtrailError(f"'{word}' has no key.", do="Give inputs as KEY=VALUE.")
    return found


def explain(a_sum: Sum) -> None:
    """What a sum asks and gives, and an example to copy."""
    from diag.model.quantity import shown
    from diag.workshop.work import range_in_words

    if a_sum.caution:
        say_wrapped(f"Caution: {a_sum.caution}")
        say()
    say(a_sum.title)
    for one in a_sum.inputs:
        default = "" if one.default is None else f"; {shown(one.default, one.unit)} unless told"
        say_wrapped(f"{one.key}: {one.says}, {range_in_words(one)}{default}", "  ")
    say("gives")
    for out in a_sum.outputs:
        say_wrapped(
            f"{out.key}: {out.says}" + (f", in {out.unit_symbol}" * bool(out.unit_symbol)), "  "
        )
    say()
    say_wrapped(f"{a_sum.basis} Source: {a_sum.source}.")
    given = " ".join(f'{key}="{value}"' for key, value in a_sum.example.given.items())
    say("Example:")
    say(f"  benchtrail work {a_sum.name} {given}")


def tell_result(result: Result) -> None:
    """The caution first, then what was taken and what it comes to."""
    from diag.workshop.work import given_in_words, taken_in_words

    if result.sum.caution:
        say_wrapped(f"Caution: {result.sum.caution}")
        say()
    say(result.sum.title)
    for one, number in result.taken:
        say_wrapped(f"{one.says}: {taken_in_words(one, number)}", "  ")
    say()
    for out, value in result.gives:
        say_wrapped(f"{out.says}: {given_in_words(out, value)}")
    say()
    say_wrapped(f"{result.sum.basis} Source: {result.sum.source}.")


def declared(a_sum: Sum) -> dict[str, Any]:
    """A sum's declaration for `--json`."""
    return {
        "name": a_sum.name,
        "title": a_sum.title,
        "caution": a_sum.caution,
        "inputs": [
            {
                "key": one.key,
                "says": one.says,
                "unit": one.unit_symbol,
                "low": one.low,
                "high": one.high,
                "default": one.default,
                "one_of": list(one.one_of),
                "columns": list(one.columns),
            }
            for one in a_sum.inputs
        ],
        "outputs": [
            {"key": out.key, "says": out.says, "unit": out.unit_symbol} for out in a_sum.outputs
        ],
        "source": a_sum.source,
        "basis": a_sum.basis,
        "example": dict(a_sum.example.given),
    }


def as_json(result: Result) -> dict[str, Any]:
    """A worked sum for `--json`, numbers in full."""
    return {
        "name": result.sum.name,
        "caution": result.sum.caution,
        "inputs": {
            one.key: {"value": number, "unit": one.unit_symbol} for one, number in result.taken
        },
        "outputs": {
            out.key: {"value": value, "unit": out.unit_symbol} for out, value in result.gives
        },
        "source": result.sum.source,
        "basis": result.sum.basis,
    }


def _say_json(what: Any) -> None:
    say(json.dumps(what, indent=2, allow_nan=False))
