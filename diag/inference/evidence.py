"""Which evidence a history gives on which sign, and until when a sign stays the same."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

from diag.errors import UnknownId
from diag.model.book import Book
from diag.model.history import Given, History, Sure
from diag.model.nearest import nearest

Entry = TypeVar("Entry")

Ref = Given | str
"""Where evidence comes from: an answer, or the id of a symptom that the owner told."""

TOLD = (0.1, 0.9)
"""Likelihoods (if absent, if present) of a complaint for each sign of its symptom."""

ANSWERED: Mapping[tuple[Sure, bool], tuple[float, float]] = {
    ("certain", True): (0.0, 1.0),
    ("certain", False): (1.0, 0.0),
    ("fairly", True): (0.2, 0.8),
    ("fairly", False): (0.8, 0.2),
}
"""Likelihoods (if absent, if present) of an answer that says a sign is present or absent."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One statement on one sign.

    `block` numbers the stretches of time in which nothing that can show the sign was touched;
    `pair` is the likelihood of the statement (if the sign is absent, if present).
    """

    ref: Ref
    sign: str
    block: int
    pair: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Certain answers of which some say that a sign is present and some that it is absent."""

    sign: str
    block: int
    present: tuple[Given, ...]
    absent: tuple[Given, ...]


@dataclass(frozen=True, slots=True)
class Evidence:
    """All that counts, and the contradictions whose answers don't count for their sign."""

    pieces: tuple[Piece, ...]
    contradictions: tuple[Contradiction, ...]


def gather(book: Book, history: History, cuts: Mapping[str, list[int]]) -> Evidence:
    """The evidence of a history; `cuts` gives the rising steps that end a block of a sign.

    A check answered again within a block replaces its earlier answer there. A complaint is
    dropped once an answer in its block speaks of the sign.

    Raises:
        UnknownId: the history names a check, an answer or a symptom that the book doesn't have.
    """
    answers = _standing(book, history, cuts)
    asked = {(piece.sign, piece.block) for piece in answers}
    contradictions = _contradictions(answers)
    doubted = {(found.sign, found.block) for found in contradictions}
    told: dict[str, Piece] = {}
    for symptom in history.symptoms:
        for sign in known(symptom, book.symptoms, "symptom").signs:
            if (sign, 0) not in asked:
                told.setdefault(sign, Piece(symptom, sign, 0, TOLD))
    kept = (p for p in answers if not (_certain(p) and (p.sign, p.block) in doubted))
    return Evidence((*told.values(), *kept), contradictions)


def block_at(cuts: Mapping[str, list[int]], sign: str, step: int) -> int:
    """The block of a sign in which a step of the history lies."""
    found = cuts.get(sign)
    return bisect_right(found, step) if found else 0


def known(name: str, entries: Mapping[str, Entry], kind: str) -> Entry:
    """The entry of this id.

    Raises:
        UnknownId: there is none; the message gives the nearest that there is.
    """
    if name in entries:
        return entries[name]
    raise UnknownId(f"the book has no {kind} '{name}'.", do=nearest(name, entries))


def _standing(book: Book, history: History, cuts: Mapping[str, list[int]]) -> list[Piece]:
    """What the answers say, each check's last answer within a block only."""
    pieces: list[tuple[int, str, Piece]] = []
    last: dict[tuple[str, str, int], int] = {}
    for step, given in enumerate(history.steps):
        if not isinstance(given, Given):
            continue
        check = known(given.check, book.checks, "check")
        said = known(given.answer, check.evidence, f"answer to '{check.id}' called")
        for sign in check.signs:
            block = block_at(cuts, sign, step)
            last[check.id, sign, block] = step
            if sign in said:
                piece = Piece(given, sign, block, ANSWERED[given.sure, said[sign]])
                pieces.append((step, check.id, piece))
    return [p for step, check, p in pieces if last[check, p.sign, p.block] == step]


def _certain(piece: Piece) -> bool:
    return 0 in piece.pair


def _contradictions(pieces: list[Piece]) -> tuple[Contradiction, ...]:
    """Signs on which certain answers of one block disagree."""
    sides: dict[tuple[str, int], tuple[list[Given], list[Given]]] = {}
    for piece in pieces:
        if isinstance(piece.ref, Given) and _certain(piece):
            present, absent = sides.setdefault((piece.sign, piece.block), ([], []))
            (present if piece.pair[1] else absent).append(piece.ref)
    return tuple(
        Contradiction(sign, block, tuple(present), tuple(absent))
        for (sign, block), (present, absent) in sides.items()
        if present and absent
    )
