"""Which checks are worth scoring exactly: a quick estimate over all of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from diag.inference.posterior import Posterior
from diag.model.book import Book
from diag.planning.access import Access
from diag.planning.blocks import rates
from diag.planning.entropy import entropy

SHORTLIST = 24
"""Checks that are scored exactly. Over 60 decks drawn from a book of 269 causes and 335 checks,
with up to 20 answers, the check that is exactly best stood third or better by the estimate."""


def promising(
    book: Book, now: Posterior, checks: Sequence[str], ways: Mapping[str, Access]
) -> list[str]:
    """The checks that may tell most for their minutes, best first, `SHORTLIST` at most.

    The estimate takes the causes as independent given the evidence, and what a check tells as the
    sum of what its signs tell.
    """
    told = _nats_by_sign(book, now)
    nats = {c: sum(told[sign] for sign in book.checks[c].signs) for c in checks}
    rate = rates(book, ways, nats)
    return sorted(checks, key=lambda c: (-rate[c].nats_a_minute, c))[:SHORTLIST]


def _nats_by_sign(book: Book, now: Posterior) -> dict[str, float]:
    at, by, q = (np.array(column) for column in book.links)
    if not len(at):
        return dict.fromkeys(book.signs, 0.0)
    p = np.array([now.causes.get(cause, 0.0) for cause in book.causes])[by]
    leak = np.array([sign.leak for sign in book.signs.values()])
    quiet = np.bincount(at, np.log(np.maximum(1.0 - p * q, 1e-300)), len(book.signs))
    absent = ((1.0 - leak) * np.exp(quiet))[at]
    if_absent = p * (1.0 - q) / np.maximum(1.0 - p * q, 1e-300)
    if_present = np.clip((p - absent * if_absent) / np.maximum(1.0 - absent, 1e-12), 0.0, 1.0)
    left = absent * entropy(if_absent) + (1.0 - absent) * entropy(if_present)
    told = np.bincount(at, entropy(p) - left, len(book.signs))
    return dict(zip(book.signs, told.tolist(), strict=True))
