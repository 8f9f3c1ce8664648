"""A small book to hang rules on in tests, and short ways to write them."""

from diag.model.book import Book
from diag.model.cause import Cause, Sign
from diag.model.check import Answer, Check
from diag.model.figures import Prior
from diag.model.rule import Conclusion, Condition, Group, Rule
from diag.model.trait import Fact, Trait

YES_NO = ("yes", "no")
TRAITS = {
    "drive": Trait(id="drive", ask="What turns it?", one_of=("belt", "idler", "direct")),
    "mains_motor": Trait(id="mains_motor", ask="Mains motor?", one_of=YES_NO),
}
FACTS = {
    "strap_hz": Fact(id="strap_hz", ask="Strap?", unit="Hz"),
    "local_hz": Fact(id="local_hz", ask="Mains?", unit="Hz"),
    "stored_damp": Fact(id="stored_damp", ask="Stored damp?", kind="yes_or_no"),
}
SIGNS = {name: Sign(id=name, says=f"Sign {name}", leak=0.01) for name in ("s0", "s1", "s2")}


def check(name: str, **answers: Answer) -> Check:
    """A check at the closed deck."""
    return Check(id=name, ask=f"Ask {name}?", at="outside", minutes=1, answers=answers)


def answer(name: str, *, present: tuple[str, ...] = (), absent: tuple[str, ...] = ()) -> Answer:
    """One answer of a check."""
    return Answer(id=name, says=f"Says {name}", present=present, absent=absent)


CHECKS = {
    "c0": check("c0", both=answer("both", present=("s0", "s1")), none=answer("none")),
    "c1": check("c1", one=answer("one", present=("s1",)), none=answer("none", absent=("s2",))),
    "c2": check("c2", yes=answer("yes", present=("s2",)), no=answer("no", absent=("s0",))),
}


def cause(name: str, **raised_by: float) -> Cause:
    """A cause that some facts make likelier."""
    prior = Prior(((0.0, 0.1),))
    return Cause(id=name, says=name, prior=prior, shows={"s0": 0.5}, raised_by=raised_by)


def book(*rules: Rule, causes: tuple[Cause, ...] = ()) -> Book:
    """A small book with these rules."""
    return Book(
        family="trial",
        says="Trial machines",
        traits=TRAITS,
        facts=FACTS,
        signs=SIGNS,
        checks=CHECKS,
        causes={each.id: each for each in causes},
        rules={each.id: each for each in rules},
    )


def rule(name: str, when: Group | Condition, **then: str) -> Rule:
    """A rule with one conclusion of each kind given."""
    group = when if isinstance(when, Group) else Group(all=(when,))
    return Rule(
        id=name, when=group, then=tuple(Conclusion(**{kind: said}) for kind, said in then.items())
    )


def every(*parts: Group | Condition) -> Group:
    """All of these."""
    return Group(all=parts)


def either(*parts: Group | Condition) -> Group:
    """Any of these."""
    return Group(any=parts)
