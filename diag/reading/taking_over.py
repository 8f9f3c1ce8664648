"""A family laid over those that it takes over: what comes along, and what has no use there.

What is left out is missed elsewhere: a list simply loses it, but a walk can't ask a check that is
gone. What nothing needs any more goes without a word, so that no entry is dead wood.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from diag.model.figures import Origin
from diag.model.mentions import LISTS
from diag.reading.build import Use
from diag.reading.draft import Draft, TakesFrom
from diag.reading.left_out import Named, left_out
from diag.reading.possible import possible_rule, possible_where, rule_names
from diag.reading.references import facts_that_raise

HELD_BY: Mapping[str, frozenset[str]] = {
    "signs": frozenset({"checks", "symptoms"}),
    "checks": frozenset({"walks", "checks", ""}),
    "remedies": frozenset({"causes"}),
    "walks": frozenset({"symptoms"}),
    "layers": frozenset({"checks", "remedies", "layers"}),
    "traits": frozenset({"causes", "checks", "remedies", "rules"}),
    "facts": frozenset({"causes", "rules"}),
    "thumbs": frozenset({"causes", "checks", "remedies", "rules"}),
    "cautions": frozenset({"checks", "remedies", "layers", "rules"}),
}
"""What must name an entry so that it has a use; the empty word is the head of a family."""

CAN_LOSE: Mapping[str, str] = {
    "shows": "signs",
    "raised_by": "facts",
    "mended_by": "remedies",
    "cites": "thumbs",
    "looks_like": "causes",
    "upsets": "causes",
    "unpowered": "checks",
    "not_while": "signs",
}
"""Fields from which an entry that is gone is dropped, and the section that they name; no other
field can do without."""

HOLDS_NOTHING = "not_while"
"""The field that gives nothing a use: a sign that only bars checks has none."""


@dataclass(frozen=True, slots=True)
class Gone:
    """Why an entry does not come along, and where that was said."""

    why: str
    origin: Origin


def take_over(own: Draft, taken: Sequence[tuple[TakesFrom, Draft]]) -> Draft:
    """Lay a family over those that it takes over; of those, a later one over an earlier."""
    under = Draft()
    gone: dict[Named, Gone] = {}
    for item, draft in taken:
        names = left_out(item, draft, own)
        gone |= dict.fromkeys(names, Gone("is left out", item.origin))
        _remove(draft, names)
        under = draft.lay_over(under)
    for section, name in own.origins.keys() & under.origins.keys():
        if name in own.retired.get(section, ()):
            gone[section, name] = Gone("is retired here", own.origins[section, name])
    _remove(under, own.origins)
    _Pruning(own, under, gone, taken[0][0].origin).run()
    return own.lay_over(under)


def _remove(draft: Draft, names: Iterable[Named]) -> None:
    for section, name in names:
        draft.entries[section].pop(name, None)
        draft.origins.pop((section, name), None)


def _told(rules: Iterable[Any], *asked: Iterable[str]) -> set[str]:
    """The facts that a family can know of a deck."""
    derived = {c.derive for rule in rules for c in rule.then if c.derive}
    return derived.union({"age"}, *asked)


@dataclass(slots=True)
class _Pruning:
    """`under` has what is taken over, without what `own` replaces and without what is `gone`."""

    own: Draft
    under: Draft
    gone: dict[Named, Gone]
    at: Origin
    before: frozenset[Named] = frozenset()
    told_before: set[str] = field(default_factory=set)

    def run(self) -> None:
        """Take out what can't be here or has no use, and tell what is missed."""
        self.before = frozenset(self.under.origins) | frozenset(self.gone)
        self.told_before = self._told()
        self._fit()
        self._trim_rules()
        while useless := list(self._useless()):
            _remove(self.under, useless)
            self._trim_rules()
        self._trim_retired()
        self._tell_what_is_missed()
        self._trim_lists()
        self.under.findings.uses = [use for use in self._uses() if self._is_kept(use)]

    def _all(self, section: str) -> dict[str, Any]:
        return self.under.entries[section] | self.own.entries[section]

    def _told(self) -> set[str]:
        return _told(self._all("rules").values(), self._all("facts"), self._all("traits"))

    def _has(self, section: str, name: str) -> bool:
        if (section, name) in self.own.origins:
            return name not in self.own.retired.get(section, ())
        return (section, name) in self.under.origins or (section, name) not in self.before

    def _fit(self) -> None:
        """Keep of every `where` the values that this family's traits have."""
        traits = self._all("traits")
        for section in ("causes", "checks", "remedies"):
            for name, entry in list(self.under.entries[section].items()):
                where = possible_where(entry.where, traits)
                if where is None:
                    self.gone[section, name] = Gone("can't be in this family", self.at)
                    _remove(self.under, [(section, name)])
                elif where != entry.where:
                    self.under.entries[section][name] = replace(entry, where=where)

    def _trim_rules(self) -> None:
        traits, told = self._all("traits"), self._told()

        def known(section: str, name: str) -> bool:
            if section == "facts":
                return name in told or name not in self.told_before
            return self._has(section, name)

        for name, rule in list(self.under.entries["rules"].items()):
            now = possible_rule(rule, known, traits)
            if now is None:
                _remove(self.under, [("rules", name)])
            else:
                self.under.entries["rules"][name] = now

    def _uses(self) -> Iterator[Use]:
        """What is named by the entries and lists that come along."""
        of_rules = {name: rule_names(rule) for name, rule in self.under.entries["rules"].items()}
        for use in self.under.findings.uses:
            section, name = use.owner
            if section == "rules":
                if (use.section, use.id) in of_rules.get(name, ()):
                    yield use
            elif use.owner in self.under.origins or (
                not section and use.field in LISTS and use.field not in self.own.head
            ):
                yield use

    def _held(self) -> set[Named]:
        """What is named by something that gives it a use; own entries name nothing in vain."""
        holding = [
            use
            for use in self._uses()
            if use.owner[0] in HELD_BY.get(use.section, ()) and use.field != HOLDS_NOTHING
        ]
        held = {(use.section, use.id) for use in [*holding, *self.own.findings.uses]}
        # A fact of a rule or a factor may be a trait.
        return held | {("traits", name) for section, name in held if section == "facts"}

    def _useless(self) -> Iterator[Named]:
        held = self._held()
        shown = {sign for cause in self._all("causes").values() for sign in cause.shows}
        for section in HELD_BY:
            for name, entry in self.under.entries[section].items():
                asks = section == "checks" and not shown.isdisjoint(entry.signs)
                if not asks and (section, name) not in held:
                    yield section, name
        raising = {fact for cause in self._all("causes").values() for fact in cause.raised_by}
        for rule in self._all("rules").values():
            raising |= {name for section, name in rule_names(rule) if section == "facts"}
        for name, rule in self.under.entries["rules"].items():
            if all(c.derive is not None and c.derive not in raising for c in rule.then):
                yield "rules", name

    def _tell_what_is_missed(self) -> None:
        """What can't do without something that is gone; each once."""
        missed = dict.fromkeys(
            (use.owner, (use.section, use.id))
            for use in self._uses()
            if use.owner[0] and use.field not in CAN_LOSE and not self._has(use.section, use.id)
        )
        for owner, named in missed:
            gone = self.gone.get(named, Gone("has no use here", self.at))
            self._tell(owner, f"needs {'.'.join(named)}, which {gone.why}", gone.origin)
        asked = {
            use.id
            for use in self.under.findings.uses
            if use.section == "signs" and use.owner[0] in HELD_BY["signs"]
        }
        for name, cause in self.under.entries["causes"].items():
            if not (
                asked.isdisjoint(cause.shows) or any(self._has("signs", s) for s in cause.shows)
            ):
                found = f"shows only what nothing asks for here: {', '.join(cause.shows)}"
                self._tell(("causes", name), found, self.at)

    def _tell(self, owner: Named, found: str, origin: Origin) -> None:
        do = f"Leave {'.'.join(owner)} out as well, or give one of your own."
        self.own.findings.problem(origin, f"{'.'.join(owner)} {found}.", do)

    def _trim_lists(self) -> None:
        """Drop from lists what is gone."""
        raising = facts_that_raise({s: self._all(s) for s in ("rules", "traits", "facts")})
        for entries in self.under.entries.values():
            for name, entry in entries.items():
                lists = {part: getattr(entry, part) for part in CAN_LOSE if hasattr(entry, part)}
                kept = {part: self._kept(part, old, raising) for part, old in lists.items()}
                if kept != lists:
                    entries[name] = replace(entry, **kept)
        for name in LISTS:
            if name in self.under.head:
                checks = (c for c in self.under.head[name] if self._has("checks", c))
                self.under.head[name] = tuple(checks)

    def _kept(self, part: str, listed: Any, raising: set[str]) -> Any:
        kept = [
            name
            for name in listed
            if (name in raising if part == "raised_by" else self._has(CAN_LOSE[part], name))
        ]
        return {name: listed[name] for name in kept} if isinstance(listed, Mapping) else tuple(kept)

    def _trim_retired(self) -> None:
        """A retired id goes with what replaced it."""
        for section, retired in self.under.retired.items():
            for old, new in list(retired.items()):
                if not self._has(section, new):
                    del retired[old]
                    _remove(self.under, [(section, old)])

    def _is_kept(self, use: Use) -> bool:
        return self._has(use.section, use.id)
