"""Random books, decks and histories for the tests of the rules.

Values come mostly from what a subject can have, so that rules do fire and chain; and now and then
from anywhere, so that a number meets a word.
"""

from hypothesis import strategies as st

from diag.model.book import Book
from diag.model.history import Given, History, Mended, Opened
from diag.model.rule import Conclusion, Condition, Rule
from diag.model.trait import Deck
from tests.rules.books import CHECKS, SIGNS, TRAITS, YES_NO, book, cause, either, every

DERIVABLE = tuple(f"d{number}" for number in range(4))

figures = st.one_of(
    st.sampled_from([0.0, -0.0, 1.5, 50.0, 60.0, 1e-7, 1e22, 0.1 + 0.2, 0.3]),
    st.floats(allow_nan=False, allow_infinity=False),
)
words = st.one_of(st.sampled_from(["yes", "no", "belt", "50.0"]), st.text(max_size=5))
values = st.one_of(figures, words)
numbered = st.sampled_from(["strap_hz", "local_hz", "free", "age"])
comparable = st.sampled_from(["strap_hz", "local_hz", "free", *DERIVABLE, *TRAITS])


def conditions_on(kind: str, ids: tuple[str, ...], *known: str) -> st.SearchStrategy[Condition]:
    """A condition on one of these, true of some of the values that it can have."""
    test = st.one_of(
        st.just({}),
        st.sampled_from(known).map(lambda value: {"equals": value}),
        st.sampled_from(known).map(lambda value: {"differs": value}),
        st.lists(st.sampled_from(known), min_size=1, max_size=2).map(
            lambda some: {"one_of": tuple(some)}
        ),
    )
    return st.builds(
        lambda name, said: Condition(**{kind: name}, **said), st.sampled_from(ids), test
    )


numeric = st.fixed_dictionaries(
    {}, optional={"above": figures, "below": figures, "equals": figures, "differs": values}
)
joined = st.fixed_dictionaries({}, optional={"differs_from": comparable, "same_as": comparable})
wild = st.fixed_dictionaries(
    {}, optional={"equals": values, "one_of": st.lists(words, max_size=3).map(tuple)}
)
conditions = st.one_of(
    conditions_on("fact", DERIVABLE, "yes"),
    conditions_on("fact", ("stored_damp",), *YES_NO),
    conditions_on("trait", tuple(TRAITS), "belt", "idler", *YES_NO),
    conditions_on("sign", tuple(SIGNS), "present", "absent"),
    conditions_on("symptom", ("y0", "y1"), "told"),
    conditions_on("check", tuple(CHECKS), "both", "one", "none", "yes"),
    conditions_on("layer", ("lid", "back"), "open"),
    st.builds(lambda name, tests: Condition(fact=name, **tests), numbered, numeric),
    st.builds(lambda name, tests: Condition(fact=name, **tests), numbered, joined),
    st.builds(
        lambda name, tests: Condition(trait=name, **tests), st.sampled_from(list(TRAITS)), joined
    ),
    st.builds(lambda name, tests: Condition(fact=name, **tests), numbered, wild),
)
groups = st.recursive(
    st.lists(conditions, min_size=1, max_size=2).map(lambda parts: every(*parts))
    | st.lists(conditions, min_size=2, max_size=3).map(lambda parts: either(*parts)),
    lambda inner: st.builds(
        lambda kind, parts: kind(*parts),
        st.sampled_from([either, every]),
        st.lists(st.one_of(conditions, inner), min_size=1, max_size=3),
    ),
    max_leaves=4,
)
conclusions = st.one_of(
    st.builds(Conclusion, derive=st.sampled_from([*DERIVABLE, "stored_damp"])),
    st.builds(Conclusion, cite=st.sampled_from(["t0", "t1"])),
    st.builds(Conclusion, caution=st.sampled_from(["k0", "k1"])),
    st.builds(Conclusion, conflict=st.sampled_from(["these two clash", "odd"])),
)
raising = st.dictionaries(
    st.sampled_from([*DERIVABLE, "mains_motor", "stored_damp"]), st.floats(0.1, 9), max_size=3
)


@st.composite
def books(draw: st.DrawFn) -> Book:
    """A book with a handful of random rules, and two causes that some facts raise."""
    whens = draw(st.lists(groups, min_size=5, max_size=9))
    thens = st.lists(conclusions, min_size=1, max_size=3).map(tuple)
    rules = [Rule(id=f"r{n}", when=when, then=draw(thens)) for n, when in enumerate(whens)]
    return book(*rules, causes=tuple(cause(f"x{n}", **draw(raising)) for n in range(2)))


def mostly(**known: st.SearchStrategy[object]) -> st.SearchStrategy[dict[str, object]]:
    """Values for these names, at most half of them not known."""
    missing = st.sets(st.sampled_from(sorted(known)), max_size=len(known) // 2)
    return st.builds(
        lambda all_known, gone: {n: v for n, v in all_known.items() if n not in gone},
        st.fixed_dictionaries(known),
        missing,
    )


decks = st.builds(
    Deck,
    age_years=st.none() | st.floats(0, 90),
    traits=mostly(**{name: st.sampled_from(trait.one_of) for name, trait in TRAITS.items()}),
    facts=mostly(
        strap_hz=figures, local_hz=figures, stored_damp=st.sampled_from(YES_NO), free=values
    ),
)
answered = st.sampled_from([(c.id, a) for c in CHECKS.values() for a in c.answers])
given_answers = st.builds(
    lambda pair, sure: Given(*pair, sure), answered, st.sampled_from(["certain", "fairly"])
)
steps = st.one_of(given_answers, given_answers, st.just(Mended("m0")), st.just(Opened("lid")))
histories = st.builds(
    History,
    symptoms=st.lists(st.sampled_from(["y0", "y1"]), unique=True).map(tuple),
    steps=st.lists(steps, min_size=2, max_size=6).map(tuple),
)
layers = st.lists(st.sampled_from(["lid", "back"]), unique=True).map(tuple)
