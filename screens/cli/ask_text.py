"""What the bench shows in plain mode."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING

from diag.model.advice import Caution
from diag.model.words import chance_in_words, layer_says
from diag.planning.access import closing_order
from diag.planning.reasons import minutes_in_words
from diag.session.measured import KINDS
from diag.session.words import chance_within, ranked_chance
from screens.cli.prompts import Prompts
from screens.open_deck import reason_before_closing, unseen_in_words
from screens.sheets import NOTHING, WITHOUT_POWER, Kind, Sheet, offer_says
from screens.widgets.lines import SEVERITY_WORDS

if TYPE_CHECKING:
    from diag.model.book import Book
    from diag.model.layer import Layer
    from diag.session.assessment import RankedCause
    from diag.session.mind import ChangeOfMind
    from diag.session.snapshot import CauseDetail, Snapshot

CAUSES = 8
FIRST = 9
"""How many steps are told before a closing, so that a list can be heard through."""
SHORT = 3

Step = tuple[Kind, str]

HELP = """\
number      that answer; with f behind it, as 2f, fairly sure only
0           can't tell (t where a number is asked for)
s           leave this step for later
p           measure a recording, a WAV or FLAC file; p FILE names it at once
h           what is worth doing while the deck is open
a           another step instead
w           the ranked causes
c NUMBER    why a cause stands where it does, and what mends it
m           remedies of the likeliest causes
o           the deck is open or closed as the step needs it
l           layers: open or close any
v           all that is noted by the rules, or does not fit together
g           ask the answer again that sits worst with the rest; again, the next worst
u, r        take the last step back, bring it back
n           write a note
e           choose what the figures of recordings are held against
x           write the trail to a file
(nothing)   show the step again
q           stop; everything is saved"""


def show_short(prompts: Prompts, snapshot: Snapshot) -> None:
    """Where the case stands, in two lines."""
    state = snapshot.state
    layers = ", ".join(layer_says(snapshot.book, name) for name in state.open_layers)
    spent = minutes_in_words(snapshot.minutes) if snapshot.minutes else "no time"
    prompts.say(f"{state.name}: {spent} spent; {f'open: {layers}' if layers else 'closed'}.")
    ranking = snapshot.assessment.ranking[:SHORT] if snapshot.assessment else ()
    if ranking:
        prompts.say(f"Causes: {'; '.join(map(_cause, ranking))}.")


def show_causes(prompts: Prompts, snapshot: Snapshot) -> None:
    """The first causes with their change, numbered."""
    ranking = snapshot.assessment.ranking[:CAUSES] if snapshot.assessment else ()
    prompts.numbered([_cause(cause) for cause in ranking])


def show_ending(prompts: Prompts, snapshot: Snapshot) -> None:
    """Why there is no step."""
    if snapshot.assessment is None:
        prompts.say("The answers can't be worked out together. u takes the last one back.")
    elif snapshot.assessment.is_well:
        prompts.say("The final test has passed: the deck is well. x writes its trail.")
    else:
        prompts.say(f"{NOTHING} a lists any step; x writes the trail with its open questions.")


def show_cautions(prompts: Prompts, cautions: Sequence[Caution]) -> None:
    """Every caution, with its severity in words."""
    for caution in cautions:
        prompts.say(f"{SEVERITY_WORDS[caution.severity]}: {caution.says} {caution.do}".rstrip())


def show_sheet(prompts: Prompts, sheet: Sheet) -> None:
    """The step with its how-to, and its answers once it can be answered."""
    prompts.say(sheet.title)
    for label, words in sheet.lines:
        prompts.say(f"{label}: {words}", "  ")
    if not (sheet.opens or sheet.closes):
        _show_answers(prompts, sheet)
    if sheet.recording and not sheet.closes:
        needs = KINDS[sheet.recording].needs
        prompts.say(f"p FILE: measure it from a recording, a WAV or FLAC file of {needs}.")


def _show_answers(prompts: Prompts, sheet: Sheet) -> None:
    if sheet.unit is not None:
        prompts.say(f"Type the value{f' in {sheet.unit}' if sheet.unit else ''}. t: can't tell.")
        return
    prompts.numbered([says for _, says in sheet.answers])
    if sheet.kind == "check":
        prompts.say("0  can't tell", "  ")


def show_without_power(prompts: Prompts, sheet: Sheet) -> None:
    """What would tell the same with the plug pulled, if anything does."""
    if sheet.without_power:
        prompts.say(f"{WITHOUT_POWER}: {sheet.without_power}")


def show_opening(prompts: Prompts, layer: Layer) -> None:
    """How a layer is opened."""
    says = layer.says or layer.id.replace("_", " ")
    prompts.say(f"Open: {says} ({minutes_in_words(layer.open_minutes)}). {layer.how}".rstrip())


def show_closing(prompts: Prompts, snapshot: Snapshot, layer: str) -> list[Step]:
    """What comes before a layer is closed, and what to look at while it is.

    Gives the steps that were numbered, in their order.
    """
    found = snapshot.assessment.before_closing(layer) if snapshot.assessment else None
    first = found.first[:FIRST] if found else ()
    if first:
        prompts.say("Before you close:")
    prompts.numbered(
        [
            f"{offer_says(snapshot.book, s.kind, s.id)} {reason_before_closing(snapshot, s)}"
            for s in first
        ]
    )
    if unseen := unseen_in_words(snapshot, found):
        prompts.say(unseen)
    _show_layers_to_close(prompts, snapshot.book, snapshot.state.open_layers, layer)
    return [(step.kind, step.id) for step in first]


def _show_layers_to_close(
    prompts: Prompts, book: Book, open_layers: Collection[str], layer: str
) -> None:
    """What is closed with a layer, innermost first, and what to look at before each."""
    for name in closing_order(book, open_layers):
        if layer in (*book.ways[name], book.outside):
            entry = book.layers[name]
            minutes = minutes_in_words(entry.close_minutes)
            prompts.say(f"Close: {layer_says(book, name)} ({minutes}).")
            for look in entry.before_closing:
                prompts.say(f"first: {look}", "  ")


def show_detail(prompts: Prompts, detail: CauseDetail) -> None:
    """For and against, remedies, thumbs and look-alikes."""
    now, before = chance_within(detail.probability, detail.bounds), chance_in_words(detail.prior)
    about = "about " if detail.is_estimate else ""
    prompts.say(f"{detail.cause.says}: {now}; {before} before anything was asked.")
    if detail.cause.how:
        prompts.say(detail.cause.how, "  ")
    for weighed in detail.weighed:
        weight = f"{about}{weighed.decibans:+.1f} decibans"
        prompts.say(f"{weighed.words} ({weight}): {weighed.says}", "  ")
    for remedy in detail.remedies:
        prompts.say(f"Remedy: {remedy.says} ({minutes_in_words(remedy.minutes)})", "  ")
    for thumb, source in detail.thumbs:
        prompts.say(f"Thumb ({source.standing}): {thumb.says}", "  ")
    for alike in detail.alike:
        chance = chance_within(alike.probability, alike.bounds)
        prompts.say(f"Looks alike: {alike.cause.says}, {chance}", "  ")


def show_change_of_mind(prompts: Prompts, mind: ChangeOfMind) -> None:
    """Which answers to come, and which figures of the book, would change the place of a cause."""
    prompts.say("Answers that would change this:")
    for line in mind.answers:
        prompts.say(line, "  ")
    prompts.say("Figures of the book:")
    for line in mind.shares:
        prompts.say(line, "  ")


def _cause(cause: RankedCause) -> str:
    points = 0 if cause.bounds else round(100 * cause.change)
    moved = f" ({points:+d})" if points else ""
    return f"{ranked_chance(cause)}{moved} {cause.says}"
