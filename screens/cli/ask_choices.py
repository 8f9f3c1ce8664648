"""What can be chosen on the plain bench: steps, remedies, layers, and the form of a trail."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from diag.model.trait import fits
from diag.model.words import chance_in_words, layer_says
from diag.session.session import Session
from diag.session.snapshot import Snapshot
from diag.trail.export import ENDINGS, FORMATS, file_name, write
from screens.cli.ask_text import Step, show_cautions, show_closing, show_opening
from screens.cli.prompts import Prompts, place_of
from screens.open_deck import in_here
from screens.sheets import offer_says

MOST = 9
"""How many steps are listed, so that a list can be heard through."""
LIKELY_CAUSES = 6
"""For how many causes remedies are offered."""


def choose_step(prompts: Prompts, snapshot: Snapshot) -> Step | None:
    """One of the planner's steps, or any step of the book that a word is found in."""
    planned = snapshot.assessment.steps if snapshot.assessment else ()
    steps: list[Step] = [(step.kind, step.id) for step in planned]
    why = {(step.kind, step.id): f" {step.why}" for step in planned}
    prompts.say("Another step:")
    prompts.numbered([f"{offer_says(snapshot.book, *step)}{why[step]}" for step in steps[:MOST]])
    typed = prompts.text("  0  none of them; or type a word of the one that you look for")
    if typed in ("", "0"):
        return None
    place = place_of(typed, min(len(steps), MOST))
    return _search(prompts, snapshot, typed.lower()) if place is None else steps[place]


def choose_remedy(prompts: Prompts, snapshot: Snapshot) -> Step | None:
    """One of the remedies of the likeliest causes."""
    book, deck = snapshot.book, snapshot.state.deck
    ranking = snapshot.assessment.ranking if snapshot.assessment else ()
    offered: dict[str, str] = {}
    for cause in ranking[:LIKELY_CAUSES]:
        for remedy in book.causes[cause.id].mended_by:
            if fits(book.remedies[remedy].where, deck.traits):
                goes_for = f"{cause.says}, {chance_in_words(cause.probability)}"
                offered.setdefault(remedy, f"{book.remedies[remedy].says} ({goes_for})")
    place = prompts.choice("Remedies:", list(offered.values()), "none of them")
    return None if place is None else ("remedy", list(offered)[place])


def choose_in_here(prompts: Prompts, snapshot: Snapshot, at_hand: str) -> Step | None:
    """One of the steps that are worth doing while the deck is open."""
    found = in_here(snapshot, at_hand)[:MOST]
    if not found:
        prompts.say("Nothing in here is worth its minutes now.")
        return None
    told = [f"{offer_says(snapshot.book, step.kind, step.id)} {step.why}" for step in found]
    place = prompts.choice("While you are in here:", told, "none of them")
    return None if place is None else (found[place].kind, found[place].id)


def turn_layer(prompts: Prompts, session: Session) -> Step | None:
    """Open or close a layer, with what must be read or looked at before.

    Gives a step that the person does before closing.
    """
    book, open_layers = session.book, session.snapshot.state.open_layers
    names = [name for name in book.layers if name != book.outside]
    place = prompts.choice(
        "Which layer was opened or closed?",
        [f"{layer_says(book, n)}: {'open' if n in open_layers else 'closed'}" for n in names],
        "none of them",
    )
    if place is None:
        return None
    layer = names[place]
    if layer in open_layers:
        return _close(prompts, session, layer)
    for name in book.ways[layer]:
        if name not in open_layers and not _open(prompts, session, name):
            break
    return None


def write_trail(prompts: Prompts, session: Session) -> None:
    """Write the trail to a new file."""
    forms = list(FORMATS)
    place = prompts.choice("Write the trail as", forms, "nothing")
    if place is None:
        return
    offered = file_name(session.snapshot.state.name, ENDINGS[forms[place]])
    typed = prompts.text(f"Where to? Empty: {offered}, in this folder.") or offered
    write(session.tell_trail(), forms[place], Path(typed).expanduser())
    prompts.say(f"Written to {typed}.")


def _close(prompts: Prompts, session: Session, layer: str) -> Step | None:
    first = show_closing(prompts, session.snapshot, layer)
    number = ", or the number of what you do first" if first else ""
    typed = prompts.text(f"Type y when it is closed{number}.")
    if typed.lower() == "y":
        session.close(layer)
        return None
    place = place_of(typed, len(first))
    return None if place is None else first[place]


def _open(prompts: Prompts, session: Session, layer: str) -> bool:
    entry = session.book.layers[layer]
    cautions = [session.book.cautions[name] for name in entry.cautions]
    show_cautions(prompts, cautions)
    show_opening(prompts, entry)
    if not prompts.agrees("Type y when you have read this and it is open."):
        return False
    for caution in cautions:
        if caution.severity == "danger":
            session.acknowledge(caution.id, layer)
    session.open(layer)
    return True


def _search(prompts: Prompts, snapshot: Snapshot, word: str) -> Step | None:
    book = snapshot.book
    found = [step for step in _all_steps(snapshot) if word in offer_says(book, *step).lower()]
    if not found:
        prompts.say("No step has that in it.")
        return None
    listed = [offer_says(book, *step) for step in found[:MOST]]
    more = f" ({len(found) - MOST} more; give another word)" if len(found) > MOST else ""
    place = prompts.choice(f"Found{more}:", listed, "none of them")
    return None if place is None else found[place]


def _all_steps(snapshot: Snapshot) -> Sequence[Step]:
    book, traits = snapshot.book, snapshot.state.deck.traits
    checks: list[Step] = [("check", c.id) for c in book.checks.values() if fits(c.where, traits)]
    mends: list[Step] = [("remedy", r.id) for r in book.remedies.values() if fits(r.where, traits)]
    return [*checks, *mends]
