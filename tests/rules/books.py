"""Books, decks and histories for the tests of the rules: by hand, and drawn by hypothesis."""

from hypothesis import strategies as st

from diag.model.book import Book
from diag.model.cause import Cause, Sign
from diag.model.check import Answer, Check
from diag.model.figures import Prior
from diag.model.history import Given, History, Mended, Opened
from diag.model.rule import Conclusion, Condition, Group, Rule
from diag.model.trait import Deck, Fact, Trait

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


figures = st.one_of(
    st.sampled_from([0.0, -0.0, 1.0, 1.5, 50.0, 60.0, 1e-7, 1e22, 0.1 + 0.2, 0.3]),
    st.floats(allow_nan=False, allow_infinity=False),
)
words = st.one_of(st.sampled_from(["yes", "no", "belt", "idler", "50.0"]), st.text(max_size=5))
derivable = [f"d{number}" for number in range(4)]
fact_ids = st.sampled_from([*FACTS, "free", "age", *derivable])
subjects = st.one_of(
    st.tuples(st.just("trait"), st.sampled_from(list(TRAITS))),
    st.tuples(st.just("fact"), fact_ids),
    st.tuples(st.just("sign"), st.sampled_from(list(SIGNS))),
    st.tuples(st.just("symptom"), st.sampled_from(["y0", "y1"])),
    st.tuples(st.just("check"), st.sampled_from(list(CHECKS))),
    st.tuples(st.just("layer"), st.sampled_from(["lid", "back"])),
)
values = st.one_of(
    figures, words, st.sampled_from(["present", "absent", "told", "open", "both", "none"])
)
comparisons = st.fixed_dictionaries(
    {},
    optional={
        "equals": values,
        "differs": values,
        "one_of": st.lists(words, max_size=3).map(tuple),
        "above": figures,
        "below": figures,
        "differs_from": st.one_of(fact_ids, st.sampled_from(list(TRAITS))),
        "same_as": st.one_of(fact_ids, st.sampled_from(list(TRAITS))),
    },
)


def _few(options: dict[str, object]) -> dict[str, object]:
    return dict(list(options.items())[:2])


conditions = st.builds(
    lambda subject, tests: Condition(**{subject[0]: subject[1]}, **tests),
    subjects,
    st.one_of(st.just({}), comparisons.map(_few)),
)
groups = st.recursive(
    st.lists(conditions, min_size=1, max_size=2).map(lambda parts: every(*parts)),
    lambda inner: st.builds(
        lambda kind, parts: kind(*parts),
        st.sampled_from([every, either]),
        st.lists(st.one_of(conditions, inner), min_size=1, max_size=3),
    ),
    max_leaves=4,
)
conclusions = st.one_of(
    st.builds(lambda name: Conclusion(derive=name), st.sampled_from([*derivable, "stored_damp"])),
    st.builds(lambda name: Conclusion(cite=name), st.sampled_from(["t0", "t1"])),
    st.builds(lambda name: Conclusion(caution=name), st.sampled_from(["k0", "k1"])),
    st.builds(lambda text: Conclusion(conflict=text), st.sampled_from(["these two clash", "odd"])),
)


@st.composite
def books(draw: st.DrawFn) -> Book:
    """A book with a handful of random rules."""
    whens = draw(st.lists(groups, min_size=1, max_size=6))
    thens = st.lists(conclusions, min_size=1, max_size=2).map(tuple)
    rules = [Rule(id=f"r{n}", when=when, then=draw(thens)) for n, when in enumerate(whens)]
    keys = st.dictionaries(
        st.sampled_from([*derivable, "mains_motor", "stored_damp"]), st.floats(0.1, 9), max_size=3
    )
    return book(*rules, causes=tuple(cause(f"x{n}", **draw(keys)) for n in range(2)))


decks = st.builds(
    Deck,
    age_years=st.one_of(st.none(), st.floats(0, 90)),
    traits=st.fixed_dictionaries(
        {}, optional={n: st.sampled_from(each.one_of) for n, each in TRAITS.items()}
    ),
    facts=st.fixed_dictionaries(
        {},
        optional={
            "strap_hz": figures,
            "local_hz": figures,
            "stored_damp": st.sampled_from(YES_NO),
            "free": st.one_of(figures, words),
        },
    ),
)
given = st.sampled_from([(c.id, a) for c in CHECKS.values() for a in c.answers]).flatmap(
    lambda pair: st.builds(
        Given, st.just(pair[0]), st.just(pair[1]), st.sampled_from(["certain", "fairly"])
    )
)
steps = st.one_of(given, st.just(Mended("m0")), st.just(Opened("lid")))
histories = st.builds(
    History,
    symptoms=st.lists(st.sampled_from(["y0", "y1"]), unique=True).map(tuple),
    steps=st.lists(steps, max_size=6).map(tuple),
)
layers = st.lists(st.sampled_from(["lid", "back"]), unique=True).map(tuple)
