"""What came off, as it is typed in a few signs: `4 rear edge, two are long @5`."""

from __future__ import annotations

import re
from typing import Any

from diag.cases.taken_apart import TakenOff, Thing

KINDS: tuple[Thing, ...] = (
    "screw",
    "washer",
    "clip",
    "spring",
    "wire",
    "plug",
    "lever",
    "belt",
    "part",
)
"""In the order of their digits."""
STAY: tuple[Thing, ...] = ("wire", "plug", "lever")
"""These stay in the deck unless it is said where they lie."""
HINT = "@5 puts it into tray 5, @shelf elsewhere, @ alone leaves it in the deck."
_COUNT = re.compile(r"(\d{1,3})(?:\s+|$)(.*)")


def hint_of(what: Thing) -> str:
    """What may be typed."""
    if what == "wire":
        return f"Colour, from where, to where, a note: red, board 3, motor. {HINT}"
    return f"How many, from where, a note: 4 rear edge, two are long. {HINT}"


def thing_of(what: Thing, typed: str, tray: int) -> dict[str, Any]:
    """Fields of a `TakenOff`; the tray is that in use, unless another place is named."""
    head, at, lies = typed.rpartition("@") if "@" in typed else (typed, "", "")
    told = _wire(head) if what == "wire" else _counted(head)
    lies = lies.strip()
    if not at:
        return {**told, "tray": 0 if what in STAY else tray, "lies": ""}
    in_tray = lies.isdecimal() and len(lies) <= 3
    return {**told, "tray": int(lies) if in_tray else 0, "lies": "" if in_tray else lies}


def typed_of(taken: TakenOff) -> str:
    """The line that says the same; `thing_of` gives its fields back."""
    words = [taken.colour, taken.place, taken.to] if taken.what == "wire" else [taken.place]
    words.append(taken.note)
    while words and not words[-1]:
        words.pop()
    line = ", ".join(words)
    if taken.what != "wire":
        line = f"{taken.count} {line}"
    return f"{line} @{taken.tray or taken.lies}".strip()


def _wire(head: str) -> dict[str, Any]:
    words = [part.strip() for part in head.split(",", 3)]
    colour, place, to, note = [*words, "", "", ""][:4]
    return {"count": 1, "colour": colour, "place": place, "to": to, "note": note}


def _counted(head: str) -> dict[str, Any]:
    found = _COUNT.match(head.strip())
    count, rest = (int(found[1]), found[2]) if found else (1, head)
    place, _, note = rest.partition(",")
    return {"count": count, "place": place.strip(), "note": note.strip()}
