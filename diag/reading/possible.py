"""What of a rule or a `where` can still hold in a family that takes it over."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from diag.model.mentions import named_in
from diag.model.rule import Condition, Group, Rule
from diag.model.trait import Trait, Where

Known = Callable[[str, str], bool]
"""Whether a family has an entry, by section and id; of `facts`, whether anything tells it."""

SUBJECT_SECTIONS = {"sign": "signs", "symptom": "symptoms", "check": "checks", "layer": "layers"}


def possible_where(where: Where, traits: Mapping[str, Trait]) -> Where | None:
    """The same with only the values that a family's traits have; None if it can't hold."""
    found = {}
    for trait, values in where.items():
        known = traits[trait].one_of if trait in traits else values
        found[trait] = tuple(value for value in values if value in known)
        if not found[trait]:
            return None
    return found


def possible_rule(rule: Rule, known: Known, traits: Mapping[str, Trait]) -> Rule | None:
    """The same without what can't hold or no longer is; None if nothing follows from it."""
    when = _group(rule.when, known, traits)
    then = tuple(c for c in rule.then if c.cite is None or known("thumbs", c.cite))
    if when is None or not then:
        return None
    return replace(rule, when=when, then=then) if (when, then) != (rule.when, rule.then) else rule


def rule_names(rule: Rule) -> set[tuple[str, str]]:
    """Section and id of all that a rule names; a fact that it derives is none of them."""
    parts = (rule.when, *(conclusion for conclusion in rule.then if conclusion.derive is None))
    return {(ref.section, ref.id) for part in parts for ref in named_in(part)}


def _group(group: Group, known: Known, traits: Mapping[str, Trait]) -> Group | None:
    parts = group.all or group.any
    found = tuple(now for part in parts if (now := _part(part, known, traits)) is not None)
    if not found or (group.all and len(found) < len(parts)):
        return None
    return replace(group, all=found) if group.all else replace(group, any=found)


def _part(
    part: Group | Condition, known: Known, traits: Mapping[str, Trait]
) -> Group | Condition | None:
    if isinstance(part, Group):
        return _group(part, known, traits)
    kind, name = part.subject
    compared = (other for other in (part.differs_from, part.same_as) if other)
    section = SUBJECT_SECTIONS.get(kind, f"{kind}s")
    if not (known(section, name) and all(known("facts", other) for other in compared)):
        return None
    return _of_trait(part, traits[name]) if kind == "trait" and name in traits else part


def _of_trait(condition: Condition, trait: Trait) -> Condition | None:
    """A value that the trait does not have is never there."""
    one_of = tuple(value for value in condition.one_of if value in trait.one_of)
    if condition.one_of and not one_of:
        return None
    if condition.equals is not None and condition.equals not in trait.one_of:
        return None
    differs = condition.differs if condition.differs in trait.one_of else None
    return replace(condition, one_of=one_of, differs=differs)
