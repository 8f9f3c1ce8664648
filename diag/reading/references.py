"""Whether every id that is named exists."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from diag.errors import Problem
from diag.model.nearest import nearest
from diag.reading.draft import Draft


def reference_problems(draft: Draft) -> list[Problem]:
    """Every use of an id that no entry has."""
    return [*_uses(draft), *_raised_by(draft)]


def _known(draft: Draft, section: str) -> set[str]:
    """Ids that may be named. An entry with a problem of its own was named all the same."""
    names = {name for kind, name in draft.origins if kind == section}
    names |= set(draft.entries.get(section, ()))
    return names - set(draft.retired.get(section, ()))


def facts_that_raise(entries: Mapping[str, Mapping[str, Any]]) -> set[str]:
    """What a factor may hang on: a fact that a rule derives, or a yes-or-no trait or fact."""
    derived = {c.derive for rule in entries["rules"].values() for c in rule.then if c.derive}
    yes_no = {t.id for t in entries["traits"].values() if "yes" in t.one_of}
    asked = {fact.id for fact in entries["facts"].values() if fact.kind == "yes_or_no"}
    return derived | yes_no | asked


def _uses(draft: Draft) -> Iterator[Problem]:
    known = {
        section: _known(draft, section) for section in {u.section for u in draft.findings.uses}
    }
    for use in draft.findings.uses:
        if use.section == "facts" or use.id in known[use.section]:
            continue  # facts may be derived by rules, or be told by the deck alone
        new = draft.retired.get(use.section, {}).get(use.id)
        do = f"It was replaced by '{new}'." if new else nearest(use.id, sorted(known[use.section]))
        found = f"'{use.id}' is not in {use.section}."
        yield Problem(use.origin.path, use.origin.line, found, do)


def _raised_by(draft: Draft) -> Iterator[Problem]:
    known = facts_that_raise(draft.entries)
    for cause in draft.entries["causes"].values():
        for fact in cause.raised_by:
            if fact not in known:
                found = f"{cause.id}: no rule derives '{fact}', and it is no yes-or-no trait."
                do = nearest(fact, sorted(known))
                yield Problem(cause.origin.path, cause.origin.line, found, do)
