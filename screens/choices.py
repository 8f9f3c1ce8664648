"""What the bench offers to choose from, as items of a list."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diag.model.trait import fits
from diag.model.words import layer_says
from diag.planning.reasons import minutes_in_words
from diag.session.words import ranked_chance
from screens.dialogs.choose import Item
from screens.open_deck import in_here
from screens.sheets import Kind, layer_name, offer_says

if TYPE_CHECKING:
    from diag.model.book import Book
    from diag.planning.next_step import NextStep
    from diag.session.snapshot import Snapshot

LIKELY_CAUSES = 6
"""For how many causes remedies are offered first."""


def step_id(kind: str, step: str) -> str:
    """One word for a step, and back by `step_of`."""
    return f"{kind} {step}"


def step_of(item: str) -> tuple[Kind, str]:
    """The kind and id of a step."""
    kind, _, step = item.partition(" ")
    return ("check" if kind == "check" else "remedy"), step


def step_items(snapshot: Snapshot) -> list[Item]:
    """The planner's steps in its order, then every other check and remedy of the book."""
    book, deck = snapshot.book, snapshot.state.deck
    steps = snapshot.assessment.steps if snapshot.assessment else ()
    items = [_planned(snapshot, step) for step in steps]
    seen = {item.id for item in items}
    for check in book.checks.values():
        if step_id("check", check.id) not in seen and fits(check.where, deck.traits):
            again = "answered already, " if check.id in snapshot.state.answers else ""
            cost = f"{minutes_in_words(check.minutes)} {_where(book, check.at)}"
            detail = f"{_kind(book, 'check', check.id)}, {again}{cost}"
            items.append(Item(step_id("check", check.id), check.ask, detail))
    items += [
        _remedy(snapshot, remedy.id, "")
        for remedy in book.remedies.values()
        if step_id("remedy", remedy.id) not in seen and fits(remedy.where, deck.traits)
    ]
    return items


def in_here_items(snapshot: Snapshot, at_hand: str) -> list[Item]:
    """What is worth doing at the open layers, each with its reason."""
    book = snapshot.book
    return [
        Item(step_id(step.kind, step.id), offer_says(book, step.kind, step.id), step.why)
        for step in in_here(snapshot, at_hand)
    ]


def remedy_items(snapshot: Snapshot) -> list[Item]:
    """Remedies of the likeliest causes first, then all others that fit the deck."""
    book, deck = snapshot.book, snapshot.state.deck
    ranking = snapshot.assessment.ranking if snapshot.assessment else ()
    first: dict[str, str] = {}
    for cause in ranking[:LIKELY_CAUSES]:
        for remedy in book.causes[cause.id].mended_by:
            first.setdefault(remedy, f"{ranked_chance(cause)} {cause.says}; ")
    order = [*first, *(remedy for remedy in book.remedies if remedy not in first)]
    return [
        _remedy(snapshot, remedy, first.get(remedy, ""))
        for remedy in order
        if fits(book.remedies[remedy].where, deck.traits)
    ]


def layer_items(snapshot: Snapshot) -> list[Item]:
    """Every layer below the closed deck, indented by depth, open or closed."""
    book, items = snapshot.book, []
    for layer in book.layers.values():
        way = book.ways[layer.id]
        if not way:
            continue
        is_open = layer.id in snapshot.state.open_layers
        state = "OPEN  " if is_open else "closed"
        cost = layer.close_minutes if is_open else layer.open_minutes
        says = f"{'  ' * (len(way) - 1)}{state} {layer_name(layer.id)}"
        doing = "close" if is_open else "open"
        detail = f"{layer_says(book, layer.id)}; {minutes_in_words(cost)} to {doing}"
        items.append(Item(layer.id, says, detail))
    return items


def _planned(snapshot: Snapshot, step: NextStep) -> Item:
    says = offer_says(snapshot.book, step.kind, step.id)
    kind = _kind(snapshot.book, step.kind, step.id)
    return Item(step_id(step.kind, step.id), says, f"{kind}, {step.by}: {step.why}")


def _kind(book: Book, kind: str, step: str) -> str:
    """Check or remedy; the checks of the final test can be searched for as such."""
    return "check of the final test" if kind == "check" and step in book.final_test else kind


def _where(book: Book, layer: str) -> str:
    return "from outside" if layer == book.outside else f"at {layer_name(layer)}"


def _remedy(snapshot: Snapshot, remedy: str, before: str) -> Item:
    entry, state = snapshot.book.remedies[remedy], snapshot.state
    done = "done already, " if any(m.remedy == remedy for m in state.remedies) else ""
    where = _where(snapshot.book, entry.at)
    detail = f"{before}{done}{minutes_in_words(entry.minutes)} {where}"
    return Item(step_id("remedy", remedy), f"Mend: {entry.says}", detail)
