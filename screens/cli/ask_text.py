"""What the bench shows in plain mode."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diag.session.words import conflict_in_words
from diag.trail.words import answer_says, chance_in_words
from screens.cli.prompts import Prompts

if TYPE_CHECKING:
    from diag.model.check import Check
    from diag.model.remedy import Remedy
    from diag.session.snapshot import CauseDetail, Snapshot, StepView

CAUSES = 8

HELP = """\
number      that answer (with f behind it, as 2f: fairly sure only)
0 or t      can't tell
s           leave this step for later
a           another step instead
w           the ranked causes
c NUMBER    why a cause stands where it does
m           remedies
l           layers: open or close one
u, r        take the last step back, bring it back
n           write a note
x           write the trail to a file
q           stop; everything is saved"""


def show_state(prompts: Prompts, snapshot: Snapshot) -> None:
    """What must not be missed: troubles, conflicts and what the rules say."""
    for told in (*snapshot.left_out, *((snapshot.trouble,) if snapshot.trouble else ())):
        prompts.say(f"Note: {told}")
    found = snapshot.assessment
    if found is None:
        return
    for conflict in found.conclusions.conflicts:
        prompts.say(f"Doubtful: {conflict.text}")
    words = conflict_in_words(snapshot.book, found.conflict)
    if words:
        prompts.say(f"Doubtful: {words}")
    if found.is_well:
        prompts.say("The final test stands passed: this deck is well. x writes its trail.")


def show_causes(prompts: Prompts, snapshot: Snapshot) -> None:
    """The first causes with their change."""
    if snapshot.assessment is None:
        return
    for number, cause in enumerate(snapshot.assessment.ranking[:CAUSES], start=1):
        points = round(100 * cause.change)
        moved = f" ({points:+d} points)" if points else ""
        prompts.say(f"{number}  {chance_in_words(cause.probability)}  {cause.says}{moved}", "  ")


def show_cautions(prompts: Prompts, view: StepView) -> None:
    """Every caution before a step, with its severity in words."""
    for caution in view.cautions:
        prompts.say(f"{caution.severity.upper()}: {caution.says} {caution.do}".rstrip())


def show_check(prompts: Prompts, check: Check) -> None:
    """The question with its how-to and answers."""
    prompts.say(check.ask)
    for label, words in (
        ("How", check.how),
        ("Good", check.good),
        ("Tools", ", ".join(check.tools)),
    ):
        if words:
            prompts.say(f"{label}: {words}", "  ")
    if check.measures is not None:
        prompts.say(f"Type the value in {check.measures.unit or 'plain numbers'}, t: can't tell.")
        return
    prompts.numbered([answer_says(check, answer) for answer in check.answers])
    prompts.say("0  can't tell", "  ")


def show_remedy(prompts: Prompts, remedy: Remedy) -> None:
    """What is to be done, with what."""
    prompts.say(remedy.says)
    parts, tools = ", ".join(remedy.parts), ", ".join(remedy.tools)
    _show_labelled(prompts, {"How": remedy.how, "Parts": parts, "Tools": tools})


def _show_labelled(prompts: Prompts, labelled: dict[str, str]) -> None:
    for label, words in labelled.items():
        if words:
            prompts.say(f"{label}: {words}", "  ")


def show_detail(prompts: Prompts, detail: CauseDetail) -> None:
    """For and against, remedies, thumbs and look-alikes."""
    now, before = chance_in_words(detail.probability), chance_in_words(detail.prior)
    prompts.say(f"{detail.cause.says}: {now}; {before} before anything was asked.")
    for weighed in detail.weighed:
        prompts.say(f"{weighed.words} ({weighed.decibans:+.1f} decibans): {weighed.says}", "  ")
    for remedy in detail.remedies:
        prompts.say(f"Remedy: {remedy.says} ({remedy.minutes:g} min)", "  ")
    for thumb, source in detail.thumbs:
        prompts.say(f"Thumb ({source.standing}): {thumb.says}", "  ")
    for alike in detail.alike:
        prompts.say(f"Looks alike: {alike.cause.says}, {chance_in_words(alike.probability)}", "  ")
